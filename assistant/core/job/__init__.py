"""A job as it goes on: what happened, the state that follows, what is asked, what is decided."""
