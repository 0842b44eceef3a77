"""What a person reads on a screen, before, during and after the work."""
