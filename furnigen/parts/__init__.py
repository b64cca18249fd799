"""Part forms: what one thing to make looks like, in closed form, without the kernel."""
