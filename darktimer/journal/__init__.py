"""Everything that was planned and did happen, kept so that a kill loses nothing that was heard."""
