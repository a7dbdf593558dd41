"""Figures as people say them: no trailing zeros, a real minus sign, turns in eighths."""

_EIGHTHS = {
    1: "an eighth turn",
    2: "a quarter turn",
    3: "a three-eighths turn",
    4: "a half turn",
    5: "a five-eighths turn",
    6: "a three-quarter turn",
    7: "a seven-eighths turn",
    8: "one turn",
}
_FRACTIONS = ("", "⅛", "¼", "⅜", "½", "⅝", "¾", "⅞")


def number_text(value: float, digits: int = 2) -> str:
    """A figure without trailing zeros and with a real minus sign."""
    text = f"{value:.{digits}f}"
    text = text.rstrip("0").rstrip(".") if "." in text else text
    return "0" if text in ("-0", "0") else text.replace("-", "−")


def turns_text(turns: float) -> str:
    """A hand's amount: the nearest eighth in words, above one turn as whole turns and a fraction."""
    eighths = max(round(turns * 8), 1)
    if eighths in _EIGHTHS:
        return _EIGHTHS[eighths]
    return f"{eighths // 8}{_FRACTIONS[eighths % 8]} turns"


def signed_turns_text(turns: float) -> str:
    """A place counted in turns, with its sign: "−¼ turn", "2 turns"; decimals between eighths."""
    eighths = round(abs(turns) * 8)
    if abs(abs(turns) * 8 - eighths) > 1e-6:
        return f"{number_text(turns)} turns"
    whole = str(eighths // 8) if eighths // 8 or not eighths else ""
    sign = "−" if turns < 0 else ""
    return f"{sign}{whole}{_FRACTIONS[eighths % 8]} {'turn' if eighths in range(1, 9) else 'turns'}"


def amount_text(amount: float, unit: str) -> str:
    """How far, without its sign, as a hand counts it: "a quarter turn", "2 steps", "1.5 mm"."""
    size = abs(amount)
    if unit == "turns":
        return turns_text(size)
    if unit == "steps":
        return f"{number_text(size, 0)} {'step' if round(size) == 1 else 'steps'}"
    return f"{number_text(size)}°" if unit == "°" else f"{number_text(size)} {unit}".strip()
