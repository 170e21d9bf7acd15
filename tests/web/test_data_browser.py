"""The data page in a real browser: no barriers, and files go in without a script."""

from __future__ import annotations

from pathlib import Path

import pytest
from playwright.sync_api import Page, expect

from tests.web.looks import LOOKS, Scheme, look, no_barriers
from tests.web.made_up import NOW


@pytest.mark.parametrize(("size", "scheme"), LOOKS)
def test_no_barriers_even_where_a_file_is_refused(
    page: Page, address: str, tmp_path: Path, size: tuple[int, int], scheme: Scheme
) -> None:
    look(page, size, scheme)
    page.goto(f"{address}/data")
    no_barriers(page)
    wrong = tmp_path / "wrong.csv"
    wrong.write_text("nothing of the kind")
    page.get_by_label("A table of readings").set_input_files(wrong)
    page.get_by_role("button", name="Bring in the readings").click()
    expect(page.get_by_role("alert")).to_contain_text("Line 1: the columns should be")
    expect(page.get_by_label("A table of readings")).to_be_focused()
    no_barriers(page)


def test_a_table_goes_in_without_a_script(
    scriptless: Page, own_address: str, tmp_path: Path
) -> None:
    table = tmp_path / "readings.csv"
    table.write_text(
        "at,subject,kind,quantity,value,unit\n"
        f"{NOW.isoformat()},keg:K1,measured,temperature,38,degF\n"
    )
    scriptless.goto(f"{own_address}/log")
    scriptless.get_by_role("link", name="Take it along, or bring it in").click()
    scriptless.get_by_label("A table of readings").set_input_files(table)
    scriptless.get_by_role("button", name="Bring in the readings").click()
    expect(scriptless.get_by_role("status")).to_have_text("Took in 1 reading.")
