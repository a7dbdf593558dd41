"""What to do: wires, the set-up walk, the next turn, the sheet, and the trial of the advice."""

import sys
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from tunekit import Session, TunekitError, load_session
from tunekit.cli.shell import File, Json, Seed, show, show_of

if TYPE_CHECKING:
    from tunekit.setup import Walk


def runs(
    plan: Annotated[Path, typer.Argument(metavar="PLAN", help="The run plan, TOML or JSON.")],
    out: Annotated[
        Path | None,
        typer.Option("-o", "--out", metavar="OUT.html", help="Also write the run sheet, a page to print."),
    ] = None,
    json: Json = False,
) -> None:
    """Wires and cables through a frame.

    The parts list, every length, the order of pulling and what to test before the frame is closed. The
    shortest plan is one line that names a starter frame, such as: starter = "road".
    """
    from tunekit.runs import load_plan, plan_runs
    from tunekit.show.text.runs import runs_text

    read = load_plan(plan)
    planned = plan_runs(read)
    if out is not None:
        from tunekit.show.runs_sheet import runs_html

        _write_page(runs_html(read, planned), out, plan, "run plan")
    show(planned, runs_text, json)


def _write_page(page: str, out: Path, source: Path, kind: str) -> None:
    """Write the page whole or not at all, but never over the file that it was made from."""
    from tunekit.session.file import write_whole

    if out.resolve() == source.resolve():
        raise TunekitError(f"--out must not be the {kind} (got {out}); choose another name.")
    write_whole(page, out)


def _walk_text(session: Session, walk: "Walk") -> str:
    """The walk, then its bolts and when to come back."""
    from tunekit.setup import rechecks, torques
    from tunekit.show.text.columns import paragraphs
    from tunekit.show.text.job import job_text
    from tunekit.show.text.steps import steps_text

    return paragraphs(steps_text(walk), job_text(torques(session, walk), rechecks(session, walk)))


def steps(
    file: File,
    walk: Annotated[
        str | None, typer.Option(metavar="NAME", help="The walk; the log chooses if left out.")
    ] = None,
    json: Json = False,
) -> None:
    """The set-up walk: this bike's targets, what is done."""
    from tunekit.setup import setup_steps

    session = load_session(file)
    show_of(session, setup_steps(session, walk), partial(_walk_text, session), json)


def advise(file: File, seed: Seed = 0, json: Json = False) -> None:
    """What is probably wrong, and what to do next."""
    from tunekit.diagnosis import advise as ask
    from tunekit.show.text.advice import advice_text

    session = load_session(file)
    show_of(session, ask(session, seed=seed), lambda advice: advice_text(advice, session), json)


def sheet(
    file: File,
    out: Annotated[Path, typer.Option("-o", "--out", metavar="OUT.html", help="The page to write.")],
    json: Json = False,
) -> None:
    """Write the hand-over sheet, a page to print.

    One HTML file without scripts: bike, findings, chain, settings, log and cautions, for A4 and Letter.
    """
    from tunekit.show.sheet import sheet_html

    _write_page(sheet_html(load_session(file)), out, file, "session file")
    show({"path": out}, lambda _: f"{out}: the hand-over sheet", json)


def trial(
    bikes: Annotated[int, typer.Option(min=1, max=100_000, help="How many virtual bikes.")] = 100,
    faults: Annotated[int, typer.Option(min=1, max=3, help="Hidden faults in each.")] = 1,
    seed: Seed = 0,
    sparse: Annotated[
        bool, typer.Option("--sparse", help="Log a few gears a ride instead of all of them.")
    ] = False,
    json: Json = False,
) -> None:
    """Try the advice on virtual bikes with hidden faults.

    Their physics and thresholds differ from those that the advice believes in.
    """
    from tunekit.diagnosis.trial import run_trial
    from tunekit.show.text.trial import trial_text

    with typer.progressbar(length=bikes, label="Bikes", file=sys.stderr) as bar:
        report = run_trial(bikes, faults, seed, sparse, lambda done, _: bar.update(1))
    show(report, trial_text, json)
