"""Every setting the server takes, read once from the environment into one frozen value."""

from __future__ import annotations

from dataclasses import dataclass, field, fields
from pathlib import Path
from typing import Any

from environs import Env

from temperward.errors import BadSettings

PREFIX = "TEMPERWARD_"
MOST_PROXIES = 9


def _about(default: Any, text: str, *, secret: bool = False) -> Any:
    return field(default=default, metadata={"text": text, "secret": secret})


@dataclass(frozen=True, slots=True, kw_only=True)
class Settings:
    """What can be set; each field is the environment variable TEMPERWARD_<NAME>."""

    data: str = _about(
        "data", "Folder for the database and photos when the two settings below are not given."
    )
    database_url: str = _about("", "Database; empty means a SQLite file in the data folder.", secret=True)
    photo_store: str = _about(
        "", "Photos; empty means a folder in the data folder, `s3://bucket/prefix` a bucket."
    )
    s3_endpoint_url: str = _about("", "Address of an S3-compatible service, where it is not the usual one.")
    push_subject: str = _about(
        "", "Who runs this server, `mailto:...` or `https://...`; without it web push is off."
    )
    push_allow: str = _about(
        "", "Push addresses allowed besides public https ones, comma-separated beginnings."
    )
    proxies: int = _about(0, "How many reverse proxies of yours stand in front.")
    hsts_s: int = _about(
        31_536_000,
        "Seconds for which browsers insist on https after a visit over it; 0: not at all.",
    )
    metrics_token: str = _about("", "Bearer token that opens /metrics to other hosts.", secret=True)
    app_dist: str = _about("", "Folder of the built phone app; empty means the one in the package.")

    @property
    def data_dir(self) -> Path:
        """Return the data folder as an absolute path."""
        return Path(self.data).resolve()

    @property
    def sqlalchemy_url(self) -> str:
        """Return the database address in SQLAlchemy's spelling."""
        if not self.database_url:
            return f"sqlite:///{self.data_dir / 'temperward.sqlite3'}"
        for plain in ("postgresql://", "postgres://"):
            if self.database_url.startswith(plain):
                return "postgresql+psycopg://" + self.database_url[len(plain) :]
        return self.database_url

    @property
    def app_dir(self) -> Path:
        """Return the folder of the built phone app."""
        return Path(self.app_dist).resolve() if self.app_dist else Path(__file__).parent / "app_dist"

    @property
    def kept_dir(self) -> Path:
        """Return the folder for the app's files of the release before."""
        return self.data_dir / "app_before"


def read_settings(**given: Any) -> Settings:
    """Read the environment; what is given by name stands before it."""
    env = Env(prefix=PREFIX)
    values: dict[str, Any] = {}
    for one in fields(Settings):
        try:
            if isinstance(one.default, int):
                values[one.name] = env.int(one.name.upper(), one.default)
            else:
                values[one.name] = env.str(one.name.upper(), str(one.default))
        except ValueError as error:
            raise BadSettings("bad_settings", setting=PREFIX + one.name.upper(), reason=str(error)) from error
    values.update({name: value for name, value in given.items() if value is not None})
    return _checked(Settings(**values))


def _checked(settings: Settings) -> Settings:
    subject = settings.push_subject
    if subject and not _is_subject(subject):
        raise BadSettings(
            "bad_push_subject",
            setting="TEMPERWARD_PUSH_SUBJECT",
            value=subject,
            needs="mailto:a@b.c or https://...",
        )
    if settings.hsts_s < 0:
        raise BadSettings(setting="TEMPERWARD_HSTS_S", value=settings.hsts_s, low=0, unit="s")
    if not 0 <= settings.proxies <= MOST_PROXIES:
        raise BadSettings(setting="TEMPERWARD_PROXIES", value=settings.proxies, low=0, high=MOST_PROXIES)
    return settings


def _is_subject(text: str) -> bool:
    """Tell a contact that push services take: one of them answers 403 to anything at localhost."""
    if text.startswith("https://"):
        host = text.removeprefix("https://").split("/")[0]
    elif text.startswith("mailto:") and text.count("@") == 1:
        host = text.split("@")[1]
    else:
        return False
    return "." in host and not host.endswith((".localhost", ".local")) and " " not in text


def settings_table() -> str:
    """Return the Markdown table of all settings, for the README."""
    rows = ["| Setting | Default | What it does |", "|---|---|---|"]
    for one in fields(Settings):
        default = f"`{one.default}`" if one.default != "" else "-"
        rows.append(f"| `{PREFIX}{one.name.upper()}` | {default} | {one.metadata['text']} |")
    return "\n".join(rows)
