"""What every package here uses: errors, quantities, poses, tables, progress, findings."""
