"""Forms of parts, one module a form, each in its own frame and in closed form."""
