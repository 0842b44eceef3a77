"""From what the user wrote to what is carried out: a plan read, adjusted and compiled."""
