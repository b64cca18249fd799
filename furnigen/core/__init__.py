"""What every room speaks in: errors, quantities, poses, tables, progress, findings."""
