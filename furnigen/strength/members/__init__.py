"""Results member by member: boards, posts, legs, sway, stability."""
