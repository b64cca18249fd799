"""Part forms: what one thing to make looks like, in closed form, without the kernel.

Every form lives in its own frame: length along +X (the grain), width along +Y, thickness along +Z
for what is sawn from boards; a leg stands on z = 0 with its top at z = height.
"""
