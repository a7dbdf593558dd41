"""What each command prints when it is not asked for JSON."""
