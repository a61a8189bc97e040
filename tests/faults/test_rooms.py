"""Where there is no room, or nothing may be written, the ledger says so and stays whole."""

import subprocess
import sys
from itertools import count

import pytest
from sqlalchemy.exc import OperationalError

from app.database import open_database, writing
from app.ledger import book, mills, people
from tests.bench import NOON
from tests.faults.kills import MEASURES, ROOT, Saved, faults, missing, typed
from tests.faults.rooms import make_read_only, may_mount, mounted, small_room
from tests.faults.table import Row
