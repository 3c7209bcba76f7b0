"""Tables that count as they are typed: the busy hour of the household."""

from pathlib import Path

from streamlit.testing.v1 import AppTest

ENTRY = Path(__file__).resolve().parents[2] / "advisor" / "web" / "main.py"


def on_keep_up():
    app = AppTest.from_file(str(ENTRY), default_timeout=60).run()
    app.switch_page("../../pages/keep_up.py").run()
    assert not app.exception
    return app


def words(app):
    return "\n".join(item.value for kind in (app.title, app.markdown, app.caption) for item in kind)


def typed(app, **changes):
    key = next(editor.key for editor in app.data_editor if editor.key.startswith("uses."))
    app.session_state[key] = {"edited_rows": {}, "added_rows": [], "deleted_rows": []} | changes
    app.run()
    assert not app.exception
    return app


def test_a_shorter_shower_counts_at_once_and_the_usual_hour_comes_back():
    app = on_keep_up()
    before = words(app)
    assert "runs lukewarm" in before
    typed(app, edited_rows={0: {"duration_min": 3.0, "count": 1, "together": 1}})
    uses = app.session_state["session"].given["uses"]
    assert (uses[0]["name"], uses[0]["duration_min"], uses[0]["count"]) == ("shower", 3.0, 1)
    assert "Nobody at the taps runs short" in words(app)
    app.button(key="drop_uses").click().run()
    assert "uses" not in app.session_state["session"].given and "runs lukewarm" in words(app)


def test_a_use_is_added_and_taken_away():
    app = on_keep_up()
    row = {"name": "tub", "mixed_gpm": 6.0, "duration_min": 12.0, "use_f": 105.0, "count": 1, "together": 1}
    typed(app, added_rows=[row])
    assert [use["name"] for use in app.session_state["session"].given["uses"]] == ["shower", "faucet", "tub"]
    typed(app, deleted_rows=[1])
    assert [use["name"] for use in app.session_state["session"].given["uses"]] == ["shower"]


def test_an_hour_that_cannot_be_is_explained_and_may_be_taken_back():
    app = on_keep_up()
    given = app.session_state["session"].given
    typed(app, edited_rows={0: {"together": 9}})
    assert "Not used yet, and nothing was changed." in app.error[0].value and "together" in app.error[0].value
    assert app.session_state["session"].given == given
    app.button(key="uses_untype").click().run()
    assert not app.error


def test_an_empty_row_changes_nothing():
    app = on_keep_up()
    before = words(app)
    typed(app, added_rows=[{}])
    assert words(app) == before
