"""The comparison: the only place that sees both the written line and what was played."""
