"""What the user wrote: the plan, its reader, its checks, its schema."""
