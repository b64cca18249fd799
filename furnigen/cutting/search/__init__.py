"""The compiled search for sheets: cut trees in arrays, ruin and recreate on them."""
