"""From a piece to its checks, report and files: one pipeline, remedies, result folders."""
