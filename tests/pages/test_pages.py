"""What the pages do: the ways in, the form, two taps an entry, advice, undo, another bench."""

import json
import tomllib
from pathlib import Path

import pytest

from tunekit import Session
from tunekit.bike.starters import starter, starter_names
from tunekit.pages.router import PAGES, page_file
from tunekit.session import make_entry, session_to_text
from tunekit.session.samples import sample_paths
from tunekit.session.store import Store

ROOT = Path(__file__).parents[2]


def main_keys(app) -> list[str]:
    return [button.key for button in app.at.button if button.key and button.key.startswith("main_")]


class TestStart:
    def test_exactly_three_ways_in(self, app):
        assert main_keys(app) == ["main_derailleur", "main_noisy", "main_swap"]

    @pytest.mark.parametrize(
        ("way", "title"),
        [("derailleur", "The bike"), ("noisy", "What do you hear?"), ("swap", "How long a chain?")],
    )
    def test_each_way_leads_to_its_page_and_a_kept_session(self, app, way, title):
        app.tap(f"main_{way}")
        assert [button.key for button in app.at.button if button.key.startswith("starter_")] == [
            f"starter_{name}" for name in starter_names()
        ]
        app.tap("starter_gravel-single")
        assert app.title == title
        assert app.session.bike == starter("gravel-single")

    def test_the_last_session_continues_in_one_tap(self, app):
        Store().create(Session(title="Red *tourer*", bike=starter("touring-triple-9")))
        app.run()
        app.tap("main_continue")
        assert app.title == "Does it go together?"
        assert app.session.title == "Red *tourer*"

    @pytest.mark.parametrize("path", sample_paths(), ids=lambda path: path.stem)
    def test_every_sample_opens_in_one_tap_and_every_page_shows_it(self, app, path):
        app.tap(f"sample_{path.stem}")
        for name in PAGES:
            app.turn_to(name)

    @pytest.mark.parametrize("name", [name for name in PAGES if name not in ("start", "bike", "wires")])
    def test_a_page_without_a_bike_offers_the_last_session_or_the_start(self, app, name):
        app.turn_to(name)
        assert "No bike is on the stand yet." in app.text
        Store().create(Session(bike=starter("city-8")))
        app.run()
        app.tap("main_continue")
        assert "No bike is on the stand yet." not in app.text


class TestFile:
    def upload(self, app, content: bytes) -> None:
        app.at.file_uploader(key="upload").upload("mine.json", content, "application/json")
        app.run()

    def test_a_session_file_is_laid_on_the_desk(self, app):
        session = Session(title="Mine", bike=starter("city-8"))
        self.upload(app, session_to_text(session).encode())
        app.tap("main_open_file")
        assert app.session == session

    @pytest.mark.parametrize(
        ("content", "sentence"),
        [
            (b"nonsense", "whole JSON"),
            (b'{"tunekit_session": 9}', "update the tool"),
            (
                json.dumps({"tunekit_session": 1, "bike": {"rings": [50, 34], "cogs": [11]}}).encode(),
                "must increase",
            ),
            (b"\x80{}", "UTF-8"),
        ],
    )
    def test_a_bad_file_is_one_sentence_and_nothing_is_kept(self, app, content, sentence):
        self.upload(app, content)
        assert sentence in app.at.error[0].value
        assert Store().sessions() == ()


class TestBike:
    @pytest.fixture
    def form(self, app):
        app.tap("main_derailleur")
        app.tap("starter_road-double-11")
        return app

    def test_a_change_is_kept_at_once(self, form):
        form.at.number_input(key="bike_rear_capacity").set_value(39)
        form.run()
        assert form.session.bike.rear.capacity == 39

    @pytest.mark.parametrize(
        ("key", "value", "sentence"),
        [
            ("bike_chain_links", 107, r"bike_chain|links must be an even number"),
            ("bike_frame_chainstay_mm", -410.0, "chainstay_mm must be at least 150"),
            ("bike_rear_capacity", None, "capacity must be"),
        ],
    )
    def test_a_bad_figure_is_one_sentence_and_nothing_is_lost(self, form, key, value, sentence):
        before = form.session
        form.at.number_input(key=key).set_value(value)
        form.run()
        assert sentence.split("|")[-1] in form.at.error[0].value
        assert form.session == before
        form.turn_to("fit")
        form.turn_to("bike")
        assert form.at.number_input(key=key).value == value, "what was typed stays on the form"
        assert sentence.split("|")[-1] in form.at.error[0].value

    @pytest.mark.parametrize(
        ("typed", "sentence"),
        [("11, 13, 12", "must increase"), ("eleven", "whole numbers with commas"), ("", "at least 1")],
    )
    def test_bad_teeth(self, form, typed, sentence):
        form.at.text_input(key="bike_teeth_cogs").set_value(typed)
        form.run()
        assert sentence in form.at.error[0].value
        assert form.session.bike == starter("road-double-11")

    def test_good_teeth(self, form):
        form.at.text_input(key="bike_teeth_cogs").set_value("11 13 15 17 19 21 24 28 32")
        form.run()
        assert form.session.bike.cogs == (11, 13, 15, 17, 19, 21, 24, 28, 32)

    def test_another_bench_s_bike_replaces_the_form_and_is_not_overwritten(self, form):
        store = Store()
        kept = store.load(form.at.session_state["session"])
        other = kept.session.bike.model_copy(update={"cogs": (11, 12, 14)})
        store.change(kept, bike=other)
        form.run()
        assert form.at.text_input(key="bike_teeth_cogs").value == "11, 12, 14"
        assert form.session.bike == other

    def test_the_front_derailleur_comes_off_and_on(self, form):
        form.at.toggle(key="bike_front_fitted").set_value(False)
        form.run()
        assert form.session.bike.front is None
        form.at.toggle(key="bike_front_fitted").set_value(True)
        form.run()
        assert form.session.bike.front == starter("road-double-11").front

    def test_the_leaflet_outranks_every_figure(self, form):
        assert "leaflet outranks" in form.text
        assert "typical" in form.text


class TestLog:
    def test_two_taps_an_entry(self, road):
        road.tap("gear_50_17")
        road.tap("word_to_larger_cog_slow")
        entry = road.session.log[-1]
        assert (entry.ring, entry.cog, entry.moment, entry.what) == (50, 17, "to_larger_cog", "slow")
        assert any(button.label == "17 :red[✗]" for button in road.at.button)

    def test_a_ring_shift_is_logged_to_the_ring(self, road):
        road.tap("gear_50_17")
        road.tap("word_to_larger_ring_refused")
        assert (road.session.log[-1].ring, road.session.log[-1].cog) == (50, None)

    def test_end_cogs_have_no_shift_from_beyond(self, road):
        road.tap("gear_50_11")
        assert road.title == "50 × 11: what does it do?"
        keys = [button.key for button in road.at.button]
        assert "word_to_smaller_cog_slow" in keys
        assert "word_to_larger_cog_slow" not in keys

    def test_one_undo_takes_back_what_one_tap_wrote_and_one_redo_brings_it_again(self, road):
        road.tap("gear_50_17")
        road.tap("word_to_larger_cog_slow")
        road.tap("rest_good")
        full = road.session.log
        assert len(full) > 20
        road.tap("undo")
        assert road.session.log == full[:1]
        road.tap("undo")
        assert road.session.log == ()
        road.tap("redo")
        road.tap("redo")
        assert road.session.log == full

    def test_motors_that_do_not_move_and_skips_under_load_are_two_taps(self, app):
        app.tap("main_noisy")
        app.tap("starter_road-electronic")
        app.tap("gear_every")
        assert app.title == "Every gear: what does it do?"
        app.tap("word_to_larger_cog_no_response")
        app.tap("gear_52_17")
        app.tap("word_pedalling_hard_skip")
        assert [(entry.cog, entry.what) for entry in app.session.log] == [(None, "no_response"), (17, "skip")]

    def test_a_good_gear_is_one_tap_and_so_is_the_rest(self, road):
        road.tap("gear_50_17")
        road.tap("main_all_good")
        assert [(entry.moment, entry.what) for entry in road.session.log] == [
            ("to_larger_cog", "clean"),
            ("to_smaller_cog", "clean"),
            ("pedalling", "clean"),
        ]
        road.tap("rest_good")
        ridden = {(entry.ring, entry.cog) for entry in road.session.log}
        assert ridden == {(50, cog) for cog in road.session.bike.cogs}

    def test_undo_and_redo(self, road):
        road.tap("gear_50_17")
        road.tap("word_pedalling_rattle")
        road.tap("undo")
        assert road.session.log == ()
        road.tap("redo")
        assert len(road.session.log) == 1

    def test_another_bench_s_entry_is_noticed_in_words_and_kept(self, road):
        road.tap("gear_50_17")
        store = Store()
        store.add(store.load(road.at.session_state["session"]), make_entry("noted", text="Other bench"))
        road.tap("word_pedalling_rattle")
        assert "changed at another bench meanwhile" in road.at.error[0].value
        assert [entry.kind for entry in road.session.log] == ["noted"]
        road.tap("word_pedalling_rattle")
        assert len(road.session.log) == 2

    def test_what_happened_before_is_one_tap(self, road):
        road.tap("told_fall")
        assert road.session.log[-1].what == "fall"

    def test_a_measurement_is_written(self, road):
        road.at.selectbox(key="other_measured_cog").set_value(28)
        road.at.number_input(key="other_value").set_value(4.5)
        road.run()
        road.tap("main_write_other")
        assert (road.session.log[-1].what, road.session.log[-1].value) == ("pulley_gap_mm", 4.5)

    def test_a_note_with_markup_in_it_is_shown_as_typed(self, road):
        nasty = "**bold** [link](http://x) <script>alert(1)</script> $x$"
        road.at.segmented_control(key="other_kind").set_value("noted")
        road.run()
        road.at.text_area(key="other_text").set_value(nasty)
        road.run()
        road.tap("main_write_other")
        assert road.session.log[-1].text == nasty
        shown = next(caption.value for caption in road.at.caption if "Last entry" in caption.value)
        assert r"\*\*bold\*\*" in shown
        assert r"\<script\>" in shown


class TestChain:
    def test_the_coach_sees_before_and_after_and_puts_the_cassette_on(self, app):
        app.tap("main_swap")
        app.tap("starter_road-double-11")
        app.at.text_input(key="swap_cogs").set_value("11, 12, 13, 14, 15, 17, 19, 21, 24, 27, 30")
        app.run()
        assert "Set again, in this order" in app.text
        assert "It goes together" in app.text
        assert app.session.log == ()
        app.tap("main_put_on")
        assert app.session.bike.cogs[-1] == 30
        assert [(entry.kind, entry.what) for entry in app.session.log] == [("fitted", "cassette")]

    def test_a_cassette_that_does_not_fit_is_said_first_and_cautions_before_the_cutting(self, app):
        app.tap("main_swap")
        app.tap("starter_road-double-11")
        app.at.text_input(key="swap_cogs").set_value("11, 12, 13, 14, 16, 18, 20, 22, 25, 29, 34")
        app.run()
        assert app.at.error[0].value == "**It does not go together.**"
        assert "**Largest cog**. Remedy: a cassette whose largest cog is 30 or less" in app.text
        texts = [str(element.value) for element in app.at.main if getattr(element, "value", None)]
        caution = next(
            place for place, text in enumerate(texts) if text.startswith("WARNING: a chain too short")
        )
        assert caution < next(place for place, text in enumerate(texts) if "add 4 links" in text)

    def test_bad_new_cogs_are_one_sentence(self, app):
        app.tap("main_swap")
        app.tap("starter_road-double-11")
        app.at.text_input(key="swap_cogs").set_value("30, 11")
        app.run()
        assert "must increase" in app.at.error[0].value


class TestHouse:
    def test_the_entry_script_of_a_wheel_runs_the_same_router(self):
        """A wheel has no app.py; its own lies beside its own copy of the one configuration."""

        def code(path):
            return [line for line in path.read_text().splitlines() if not line.startswith('"""')]

        assert code(page_file("served")) == code(ROOT / "app.py")
        build = tomllib.loads((ROOT / "pyproject.toml").read_text())["tool"]["hatch"]["build"]
        forced = build["targets"]["wheel"]["force-include"]
        assert forced[".streamlit/config.toml"] == "tunekit/pages/.streamlit/config.toml"

    @pytest.mark.parametrize(
        ("section", "option", "value"),
        [
            ("server", "address", "127.0.0.1"),
            ("server", "allowedHosts", ["localhost", "127.0.0.1"]),
            ("server", "enableCORS", True),
            ("server", "enableXsrfProtection", True),
            ("server", "maxUploadSize", 2),
            ("browser", "gatherUsageStats", False),
            ("client", "showErrorDetails", "none"),
            ("client", "toolbarMode", "viewer"),
        ],
    )
    def test_the_server_keeps_to_itself(self, section, option, value):
        assert tomllib.loads((ROOT / ".streamlit/config.toml").read_text())[section][option] == value
