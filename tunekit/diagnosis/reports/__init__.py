"""What complaints say of causes: trade knowledge as levels, corrected by counts of known reports."""

from tunekit.diagnosis.reports.model import cause_log_odds, steps_by_custom

__all__ = ["cause_log_odds", "steps_by_custom"]
