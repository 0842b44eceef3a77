"""Timeline, agitation schemes, and the compiler that turns a plan into a timeline."""
