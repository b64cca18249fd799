"""What is bought and published: materials, stock, hardware, loads, limits of sag, with sources."""
