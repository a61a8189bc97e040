"""Signs in below the pages as they do: the password checked first, then whether it counts."""

from app.ledger import sign_ins


def sign_in(connection, username, password, address, at):
    """Return a new token, or None."""
    known = sign_ins.who_knows(connection, username, password, address, at)
    return sign_ins.let_in(connection, known, username, password, address, at)


def confirms(connection, person, password, address, at):
    """Tell whether somebody types their password again."""
    known = sign_ins.who_knows(connection, person.username, password, address, at)
    return sign_ins.judge(connection, known is not None, person.username, address, at)
