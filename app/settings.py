"""Settings, from the environment: LEDGER_DATABASE_URL, LEDGER_PORT and so on."""

from collections.abc import Callable
from datetime import UTC, datetime
from pathlib import Path

from pydantic import AwareDatetime, Field, field_validator
from pydantic_settings import BaseSettings, SettingsConfigDict

from app.language import ENGLISH, LANGUAGES

_HERE = Path(__file__).resolve().parent


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

    def running_clock(self) -> Callable[[], datetime]:
        """Return the ledger's clock: that of the machine, or one set to `clock` and running on."""
        started = datetime.now(UTC)
        ahead = (self.clock or started) - started
        return lambda: datetime.now(UTC) + ahead


def shared(name: str) -> Path:
    """Return the folder of templates, static, migrations or demo_data: of a wheel, else a checkout.

    Raises FileNotFoundError where neither has it.
    """
    for root in (_HERE / "_shared", _HERE.parent):
        if (root / name).is_dir():
            return root / name
    raise FileNotFoundError(f"the folder {name} is not installed")
