"""Hears a person's knocks on the bench among all that a darkroom makes sound. Pure; no device."""
