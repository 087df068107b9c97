"""Settings are read once, refused when they cannot work, and stand in one table."""

from __future__ import annotations

from dataclasses import FrozenInstanceError, fields

import pytest

from temperward.errors import BadSettings
from temperward.settings import Settings, read_settings, settings_table


@pytest.fixture(autouse=True)
def _plain_environment(monkeypatch: pytest.MonkeyPatch) -> None:
    for one in fields(Settings):
        monkeypatch.delenv("TEMPERWARD_" + one.name.upper(), raising=False)


def test_without_any_setting_everything_lies_in_the_data_folder() -> None:
    settings = read_settings()
    assert settings.sqlalchemy_url == f"sqlite:///{settings.data_dir}/temperward.sqlite3"
    assert settings.push_subject == ""


def test_the_environment_is_read_and_what_is_given_stands_before_it(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("TEMPERWARD_DATA", "/srv/one")
    monkeypatch.setenv("TEMPERWARD_PROXIES", "1")
    assert read_settings().data == "/srv/one"
    assert read_settings().proxies == 1
    assert read_settings(data="/srv/two").data == "/srv/two"


@pytest.mark.parametrize("url", ["postgresql://a/b", "postgres://a/b"])
def test_a_postgresql_address_gets_the_driver_we_bring(url: str) -> None:
    assert read_settings(database_url=url).sqlalchemy_url == "postgresql+psycopg://a/b"


@pytest.mark.parametrize(
    "subject",
    [
        "me@localhost",
        "mailto:me@localhost",
        "mailto:me",
        "http://forge.example",
        "https://localhost",
        "https://x.local/a",
    ],
)
def test_a_contact_that_a_push_service_would_refuse_stops_the_start(subject: str) -> None:
    with pytest.raises(BadSettings, match="bad_push_subject"):
        read_settings(push_subject=subject)


@pytest.mark.parametrize("subject", ["mailto:mo@quillfen.example", "https://quillfen.example/about"])
def test_a_contact_that_works_is_taken(subject: str) -> None:
    assert read_settings(push_subject=subject).push_subject == subject


@pytest.mark.parametrize("value", ["one", "-1", "10"])
def test_a_number_that_cannot_be_is_refused(monkeypatch: pytest.MonkeyPatch, value: str) -> None:
    monkeypatch.setenv("TEMPERWARD_PROXIES", value)
    with pytest.raises(BadSettings, match="TEMPERWARD_PROXIES"):
        read_settings()


def test_settings_do_not_change_under_way() -> None:
    with pytest.raises(FrozenInstanceError):
        read_settings().data = "elsewhere"  # type: ignore[misc]


def test_the_table_has_a_row_for_every_setting() -> None:
    rows = settings_table().splitlines()[2:]
    assert len(rows) == len(fields(Settings))
    for one, row in zip(fields(Settings), rows, strict=True):
        assert f"`TEMPERWARD_{one.name.upper()}`" in row
        assert one.metadata["text"] in row
