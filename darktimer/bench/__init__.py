"""What is on the bench before the lights go out: amounts, forms, temperatures, times."""
