"""Settings, from the environment: LEDGER_DATABASE_URL, LEDGER_PORT and so on."""

import re
from collections.abc import Callable
from datetime import UTC, datetime
from pathlib import Path
from typing import Self

from pydantic import AwareDatetime, Field, SecretStr, field_validator, model_validator
from pydantic_settings import BaseSettings, SettingsConfigDict

from app.language import ENGLISH, LANGUAGES

_HERE = Path(__file__).resolve().parent
_ADDRESS = re.compile(r"[^\s@,;<>]+@[^\s@,;<>]+")


class Settings(BaseSettings):
    """Where the ledger is kept and served, and what its clock says."""

    model_config = SettingsConfigDict(env_prefix="LEDGER_")

    database_url: str = "sqlite:///mill-ledger.db"
    host: str = "127.0.0.1"
    port: int = 8765
    demo: bool = False
    clock: AwareDatetime | None = None
    secure_cookies: bool = False
    hosts: str = ""
    security_log: Path | None = None
    proxy: str = ""
    folder: Path | None = None  # in which instruments lay files
    instrument_days: int = Field(7, ge=1)  # for which an instrument may write into a shift over
    language: str = ENGLISH  # of whoever chose none, and of morning reports that are handed out

    smtp: str = ""  # host:port of the mill's mail server
    smtp_user: str = ""
    smtp_password: SecretStr = SecretStr("")
    mail_from: str = ""
    reports_to: str = ""  # who gets each report that is issued
    reports_folder: Path | None = None  # in which each is laid

    @model_validator(mode="after")
    def _can_be_sent(self) -> Self:
        for addresses in (self.reports_to, self.mail_from):
            read_addresses(addresses)
        if self.reports_to and not (self.smtp and self.mail_from):
            raise ValueError("LEDGER_REPORTS_TO needs LEDGER_SMTP and LEDGER_MAIL_FROM")
        if self.smtp:
            _host, port = self.smtp_place
            if not 0 < port < 65536:
                raise ValueError("LEDGER_SMTP is written like mail.mill.lan:587")
        return self

    @field_validator("language")
    @classmethod
    def _offered(cls, language: str) -> str:
        if language not in LANGUAGES:
            raise ValueError(f"a language is one of {', '.join(LANGUAGES)}")
        return language

    @property
    def host_names(self) -> list[str]:
        """The names, parted by commas, that it is served under beside this machine's own."""
        return [name.strip() for name in self.hosts.split(",") if name.strip()]

    @property
    def smtp_place(self) -> tuple[str, int]:
        """Host and port of the mail server; port 0 where none can be read."""
        host, _colon, port = self.smtp.rpartition(":")
        return (host, int(port)) if host and port.isdecimal() else (self.smtp, 0)

    @property
    def recipients(self) -> list[str]:
        """The addresses, parted by commas, that get each report that is issued."""
        return read_addresses(self.reports_to)

    def running_clock(self) -> Callable[[], datetime]:
        """Return the ledger's clock: that of the machine, or one set to `clock` and running on."""
        started = datetime.now(UTC)
        ahead = (self.clock or started) - started
        return lambda: datetime.now(UTC) + ahead


def read_addresses(text: str) -> list[str]:
    """Return addresses of mail that are parted by commas; ValueError for what is none."""
    found = [address.strip() for address in text.split(",") if address.strip()]
    for address in found:
        if not _ADDRESS.fullmatch(address):
            raise ValueError(f"{address} is no address of mail")
    return found


def shared(name: str) -> Path:
    """Return the folder of templates, static, migrations or demo_data: of a wheel, else a checkout.

    Raises FileNotFoundError where neither has it.
    """
    for root in (_HERE / "_shared", _HERE.parent):
        if (root / name).is_dir():
            return root / name
    raise FileNotFoundError(f"the folder {name} is not installed")
