"""Write sample_sessions/ with the tool itself: every file is what these commands leave behind.

    .venv/bin/python tests/samples/make_samples.py [FOLDER]

The workshop, its bikes' nicknames and its riders are invented.
"""

import sys
from collections.abc import Callable, Sequence
from contextlib import redirect_stdout
from datetime import UTC, datetime, timedelta
from io import StringIO
from pathlib import Path

from tunekit import load_session
from tunekit.cli import main
from tunekit.setup import Step, answer, not_sure, setup_steps

ROOT = Path(__file__).parents[2]


class Bench:
    """A stand with one bike on it: every entry goes through the command line, two minutes after the last."""

    def __init__(self, path: Path, day: int, starter: str, title: str, *options: str) -> None:
        self.path = path
        self.at = datetime(2026, 11, day, 10, 0, tzinfo=UTC)
        run("new", "--starter", starter, "-o", path, "--force", "--title", title, *options)

    def log(self, kind: str, **fields: object) -> None:
        """One entry; a field that is None is left out."""
        given = [(f"--{name}", text_of(value)) for name, value in fields.items() if value is not None]
        at = self.at.isoformat().replace("+00:00", "Z")
        run("log", self.path, kind, *(word for pair in given for word in pair), "--at", at)
        self.at += timedelta(minutes=2)

    def heard(
        self, ring: int | None, cogs: Sequence[int | None], moment: str, what: str, **more: object
    ) -> None:
        """The same word on several cogs."""
        for cog in cogs:
            self.log("heard", ring=ring, cog=cog, moment=moment, what=what, **more)

    def walk(self, name: str, answers: dict[str, list[object]], stop_before: str | None = None) -> None:
        """The set-up walk to its end or to the step named: the answers given, in turn, else one that passes.

        After an answer that does not pass, the walk's own correction is logged, then the next answer.
        """
        title = setup_steps(load_session(self.path), name).title
        self.log("noted", text=f"Walk begun: {title}", walk=name)
        for _ in range(100):
            walk = setup_steps(load_session(self.path), name)
            step = walk.step(walk.current) if walk.current else None
            if step is None or step.id == stop_before or step.state == "not_sure":
                return
            for given in answers.get(step.id) or [passing(step)]:
                self._answer(name, step.id, given)
        raise RuntimeError(f"the walk {name} does not end")

    def _answer(self, name: str, id: str, given: object) -> None:
        step = self._step(name, id)
        self.log(**(not_sure(step) if given == "not sure" else answer(step, given)))
        verdict = self._step(name, id).verdict
        correction = verdict.correction if verdict else None
        if correction is not None and correction.kind is not None:
            self.log(**correction.fields())

    def _step(self, name: str, id: str) -> Step:
        step = setup_steps(load_session(self.path), name).step(id)
        assert step is not None
        return step


GOOD_IS_NO = {
    "worn_cog",
    "cogs_move",
    "housing_pulls_tight",
    "cable_slack",
    "front_cable_slack",
    "stiff_link",
    "cable_frayed",
}


def passing(step: Step) -> object:
    """An answer that a sound bike gives."""
    match step.asks.form:
        case "yes_no":
            return "no" if step.asks.what in GOOD_IS_NO else "yes"
        case "word":
            return "clean"
        case "rim":
            return (61.0, 60.5, 61.0, 61.5)
        case "done":
            return None
    if step.asks.what.endswith("_nm"):
        # The published ranges stand in the walk; the part's own figure is what this workshop used.
        return {"rear_bolt_nm": 8.0, "lockring_nm": 40.0, "front_clamp_nm": 5.0}.get(step.asks.what, 5.0)
    bounds = (step.target.value, step.target.low, step.target.high) if step.target else ()
    return next((bound for bound in bounds if bound is not None), 0.0)


def text_of(value: object) -> str:
    return ",".join(map(str, value)) if isinstance(value, tuple | list) else str(value)


def run(*words: object) -> str:
    """A command as a shell would give it; stops at the first that fails."""
    printed = StringIO()
    with redirect_stdout(printed):
        code = main([str(word) for word in words])
    if code:
        raise RuntimeError(f"exit {code}: tunekit {' '.join(map(str, words))}")
    return printed.getvalue()


def teapot(path: Path) -> None:
    """The mechanic: a newly fitted derailleur, from bare hanger to the last ride check."""
    bench = Bench(path, 2, "road-double-10", "Teapot: newly fitted derailleur", "--links", "106")
    bench.log("told", what="new_derailleur")
    bench.walk(
        "rear_cable",
        {
            "barrel_edge_outboard": [0.25],
            "barrel_edge_inboard": [0.75],
            "pulley_gap": [8.5, 6.0],
        },
    )
    bench.log("noted", text="Collected on Saturday; comes back after 100 km for cable stretch.")


def biscuit(path: Path) -> None:
    """The rider at home: one noisy gear, one thing turned at a time."""
    bench = Bench(path, 4, "road-double-11", "Biscuit: rattles since the new cable", "--links", "108")
    bench.log("told", what="new_cable")
    bench.heard(50, [13, 15, 17, 19], "to_larger_cog", "slow")
    bench.heard(50, [17, 15], "to_smaller_cog", "clean")
    bench.log("heard", ring=50, cog=17, moment="pedalling", what="rattle", side="outboard")
    bench.log("turned", what="rear_barrel", amount=0.25)
    bench.heard(50, [13, 15, 17, 19, 21], "to_larger_cog", "clean")
    bench.heard(50, [19, 17, 15], "to_smaller_cog", "clean")
    bench.heard(50, [17], "pedalling", "clean")


def thimble(path: Path) -> None:
    """The coach: a climbing cassette before race day."""
    teeth = ("--cogs", "11,12,13,14,15,17,19,21,23,25,28", "--links", "108")
    bench = Bench(path, 6, "time-trial-electronic", "Thimble: climbing cassette for Sunday", *teeth)
    bench.log("told", what="new_cassette")
    run("chain", path)
    bench.walk(
        "cassette_swap",
        {"step_edge_outboard": [4.0], "step_edge_inboard": [5.0], "pulley_gap": [4.0, 6.0]},
    )


def gooseberry(path: Path) -> None:
    """A triple out of winter storage, left half done at closing time."""
    bench = Bench(path, 9, "touring-triple-9", "Gooseberry: out of storage, half done", "--links", "114")
    bench.log("told", what="stored")
    bench.log("heard", ring=48, cog=26, moment="pedalling", what="rubs_outer_plate")
    bench.log("heard", ring=48, cog=None, moment="to_larger_ring", what="slow")
    bench.walk("front_cable", {"front_height": [4.0, 2.0]}, stop_before="front_inner")
    bench.log("noted", text="Closing time. Front height and angle are set; go on with the inner stop.")


def marmalade(path: Path) -> None:
    """Wide range single ring after a fall: the hanger."""
    bench = Bench(path, 11, "trail-single-12", "Marmalade: came down on the left bend", "--links", "118")
    bench.log("told", what="fall")
    bench.heard(32, [45, 39, 33], "to_larger_cog", "slow")
    bench.heard(32, [51], "to_larger_cog", "refused")
    bench.heard(32, [12, 14], "to_smaller_cog", "clean")
    bench.heard(32, [45], "pedalling", "rattle", side="outboard")
    bench.log("measured", what="hanger_rim_mm", value=(55.0, 60.0, 66.0, 61.0))
    bench.log("turned", what="hanger")
    bench.log("measured", what="hanger_rim_mm", value=(60.0, 60.5, 61.0, 60.5))
    bench.heard(32, [33, 39, 45, 51], "to_larger_cog", "clean")


def puddle(path: Path) -> None:
    """Gravel single ring, ridden wet: cable drag, found with a hand test."""
    bench = Bench(path, 13, "gravel-single", "Puddle: slow after a wet month", "--links", "114")
    bench.log("told", what="wet_or_dirty")
    bench.log("told", what="getting_worse")
    bench.heard(40, [15, 17, 19, 21], "to_smaller_cog", "slow")
    bench.heard(40, [17, 19], "to_larger_cog", "clean")
    bench.log("measured", what="cable_drag", value="yes")
    bench.log("fitted", what="rear_cable")
    bench.heard(40, [15, 17, 19, 21], "to_smaller_cog", "clean")


def pickle(path: Path) -> None:
    """A folding bike whose wheel went back crooked after a puncture."""
    bench = Bench(path, 16, "folding-single", "Pickle: noisy since the puncture", "--links", "104")
    bench.log("told", what="wheel_refitted")
    bench.log("told", what="sudden")
    bench.heard(None, [None], "pedalling", "rattle")
    bench.log("measured", what="wheel_seated", value="no")
    bench.log("fitted", what="wheel")
    bench.heard(None, [None], "pedalling", "clean")


def dandelion(path: Path) -> None:
    """A failure to fit: a wide cassette on a short cage, found before the chain was cut."""
    cogs = "11,13,15,17,19,21,24,28,32,36"
    bench = Bench(path, 18, "road-double-10", "Dandelion: hill cassette does not fit", "--cogs", cogs)
    bench.log("told", what="new_cassette")
    run("fit", path)
    bench.log("noted", text="Does not go together; the rider looks for a longer cage. Chain not cut.")


def moth(path: Path) -> None:
    """Electronic, nothing moves: an unseated plug."""
    bench = Bench(path, 20, "road-electronic", "Moth: nothing moves after the bike box", "--links", "112")
    bench.log("told", what="sudden")
    bench.log("heard", ring=None, cog=None, moment="to_larger_cog", what="no_response")
    bench.log("heard", ring=None, cog=None, moment="to_smaller_cog", what="no_response")
    bench.log("measured", what="battery_pct", value=80)
    bench.log("measured", what="connectors_seated", value="no")
    bench.log("fitted", what="connectors")
    bench.heard(None, [None], "to_larger_cog", "clean")
    bench.heard(None, [None], "to_smaller_cog", "clean")


def buttons(path: Path) -> None:
    """A city bike that skips on the cogs it is ridden in: a worn chain, not yet replaced."""
    bench = Bench(path, 23, "city-8", "Buttons: skips on the way to work", "--links", "110")
    bench.log("told", what="getting_worse")
    bench.heard(40, [15, 18], "pedalling_hard", "skip")
    bench.heard(40, [28], "pedalling_hard", "clean")
    bench.log("measured", what="chain_wear_pct", value=1.1)


SAMPLES: dict[str, Callable[[Path], None]] = {
    "01-teapot-new-derailleur": teapot,
    "02-biscuit-noisy-gear": biscuit,
    "03-thimble-cassette-swap": thimble,
    "04-gooseberry-half-done": gooseberry,
    "05-marmalade-after-a-fall": marmalade,
    "06-puddle-cable-drag": puddle,
    "07-pickle-wheel-refitted": pickle,
    "08-dandelion-does-not-fit": dandelion,
    "09-moth-nothing-moves": moth,
    "10-buttons-worn-chain": buttons,
}


def make(folder: Path) -> None:
    """Write every sample into the folder."""
    folder.mkdir(parents=True, exist_ok=True)
    for name, sample in SAMPLES.items():
        sample(folder / f"{name}.json")


if __name__ == "__main__":
    make(Path(sys.argv[1]) if len(sys.argv) > 1 else ROOT / "sample_sessions")
