"""Writers: one module a format, each returning bytes; `files` alone opens files."""
