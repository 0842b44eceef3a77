"""How text lies on a terminal: prose, lists, tables, large figures. Knows nothing of film."""
