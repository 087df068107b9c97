"""What the documents promise is what the code has."""

from __future__ import annotations

import json
import re
import tomllib
from pathlib import Path

import pytest

from temperward.settings import settings_table

ROOT = Path(__file__).resolve().parents[2]
README = (ROOT / "README.md").read_text("utf-8")
NOTICES = (ROOT / "backend" / "docs" / "notices.md").read_text("utf-8").lower()


def test_the_settings_table_of_the_readme_is_that_of_the_code() -> None:
    found = re.search(r"<!-- settings.*?-->\n(.*?)\n<!-- /settings -->", README, re.DOTALL)
    assert found is not None
    assert found[1] == settings_table()


def test_every_link_of_the_readme_leads_somewhere() -> None:
    links = re.findall(r"\]\(([^)#:]+)\)", README)
    assert links
    assert [link for link in links if not (ROOT / link).exists()] == []


@pytest.mark.parametrize(
    "name", json.loads((ROOT / "pwa" / "package.json").read_text("utf-8"))["dependencies"]
)
def test_every_package_in_the_phone_app_is_in_the_notices(name: str) -> None:
    words = name.removeprefix("@").replace("fontsource/", "").replace("/", "-").split("-")
    assert any(word in NOTICES for word in words), name


@pytest.mark.parametrize(
    "requirement",
    tomllib.loads((ROOT / "pyproject.toml").read_text("utf-8"))["project"]["dependencies"],
)
def test_every_package_on_the_server_is_in_the_notices(requirement: str) -> None:
    assert re.split(r"[<>=]", requirement)[0].lower() in NOTICES
