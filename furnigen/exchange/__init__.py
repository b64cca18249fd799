"""What a STEP file says of itself: read from its text alone, to hold the CAD kernel against."""
