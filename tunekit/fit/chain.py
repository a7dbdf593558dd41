"""How many links to fit, which lengths work, and whether the present chain may stay, in words."""

from tunekit.bike import Bike
from tunekit.fit.limits import links_text, named, words
from tunekit.fit.report import ChainAdvice
from tunekit.fit.rules import rule_lengths
from tunekit.targets.chain import ChainLengths, chain_lengths
from tunekit.targets.chain_path import even_up
from tunekit.targets.chain_rules import needed_teeth, shortest_by_rule


def _present(bike: Bike, old: Bike | None) -> tuple[int | None, bool]:
    """The chain that is on and whether its length is only assumed."""
    counted = bike.chain.links if bike.chain.links is not None else (old.chain.links if old else None)
    if counted is not None or old is None:
        return counted, False
    return chain_lengths(old).best, True


def size_chain(bike: Bike, *, old: Bike | None = None) -> ChainAdvice:
    """Links to fit, the window of lengths that work, every rule's answer, and may the present chain stay.

    `old` is the bike before a swap: its chain is the present one when the new bike's is not given.
    """
    lengths = chain_lengths(bike)
    rules = rule_lengths(bike, lengths.floor)
    window, by_rules, path = lengths.window, lengths.by_rules, lengths.path
    present, assumed = _present(bike, old)
    keep = None if present is None else window is not None and window[0] <= present <= window[1]
    change = None if present is None else 0 if keep else lengths.best - present
    return ChainAdvice(
        links=lengths.best,
        shortest=window and window[0],
        longest=window and window[1],
        basis="rules" if path is None else "geometry",
        rules=rules,
        rules_differ_links=max(r.links for r in rules) - min(r.links for r in rules),
        present=present,
        present_assumed=assumed,
        keep=keep,
        change_links=change,
        too_short=() if present is None else lengths.too_short(present),
        too_long=() if present is None else lengths.too_long(present),
        leave_alone=lengths.leave_alone,
        shortest_rules=by_rules and by_rules[0],
        longest_rules=by_rules and by_rules[1],
        path_shortest_links=path.lowest if path else None,
        path_longest_links=path.highest if path else None,
        path_best_links=path.best if path else None,
        why=_why(lengths, present, keep),
        notes=(*_notes(bike, old, present, assumed), *_disagreements(lengths, present)),
    )


def _why(lengths: ChainLengths, present: int | None, keep: bool | None) -> str:
    """The verdict on the present chain, if there is one, and what to cut a new one to."""
    links, window = lengths.best, lengths.window
    if window is None:
        cut = words("chain.none", links=links, gears=named(lengths.leave_alone))
    else:
        said = "cut" if present is None else "kept" if keep else "new"
        key = f"chain.{said}{'_one' if window[0] == window[1] else ''}"
        cut = words(key, links=links, shortest=window[0], longest=window[1])
    return cut if present is None else f"{_verdict(present, links, keep)} {cut}"


def _verdict(present: int, links: int, keep: bool | None) -> str:
    if keep or present == links:
        return words("chain.keep" if keep else "chain.keep_without", present=present)
    key = "chain.add" if links > present else "chain.remove"
    return words(key, present=present, change=links_text(links - present), links=links)


def _notes(bike: Bike, old: Bike | None, present: int | None, assumed: bool) -> tuple[str, ...]:
    keys = {
        "wrap": True,
        "assumed": assumed,
        "worn": old is not None,
        "suspension": bike.frame.travel_growth_mm > 0,
    }
    return tuple(words(f"chain.{key}", present=present) for key, holds in keys.items() if holds)


def _disagreements(lengths: ChainLengths, present: int | None) -> tuple[str, ...]:
    """Where the rules and the chain's path part ways, and why."""
    path, rules = lengths.path, lengths.by_rules
    if path is None:
        return (words("chain.disagree.unsolved", reason=str(lengths.solved)),)
    bike, found = lengths.bike, []
    needed = round(needed_teeth(bike), 1)
    if rules is None and lengths.by_path is not None:
        found.append(words("chain.disagree.no_rules", needed=needed, capacity=bike.rear.capacity))
    if rules is not None and lengths.by_path is None:
        found.append(words("chain.disagree.no_path", rules=rules[0], path=f"{path.highest:.1f}"))
    if rules is not None and lengths.by_path is not None and rules[1] != lengths.by_path[1]:
        key = "rules_shorter" if rules[1] < lengths.by_path[1] else "rules_longer"
        both = {"rules": rules[1], "path": lengths.by_path[1], "cage": f"{bike.rear.cage_mm:g}"}
        found.append(words(f"chain.disagree.{key}", **both))
    rule_floor = shortest_by_rule(bike)
    if even_up(path.lowest) != rule_floor:
        key = "path_lower" if even_up(path.lowest) < rule_floor else "path_higher"
        found.append(words(f"chain.disagree.{key}", rules=rule_floor, path=f"{path.lowest:.1f}"))
    judged = lengths.best if present is None else present
    close = path.touching(judged)
    if close and lengths.window is not None:
        found.append(words("chain.disagree.close", links=judged, gears=named(close)))
    return tuple(found)
