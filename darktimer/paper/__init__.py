"""Everything a person looks at on paper: the card of a plan, its timeline as a picture, plots."""
