"""Host names: what this machine is called on the local network, and which names lead to it.

Holds:  its addresses and names; whether a name leads here.
Never:  listening (serving.py).
"""

import socket
from contextlib import suppress
from functools import cache
from threading import Thread

NOBODY = ("192.0.2.1", 9)  # an address for documents, RFC 5737; nothing is ever sent there
LOOK_UP_S = 2.0  # a network without a server for names answers late, or never


def lan_names() -> tuple[str, ...]:
    """Addresses and names of this machine on the local network, the likeliest first."""
    found: list[str] = []
    with suppress(OSError), socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as asking:
        asking.connect(NOBODY)  # chooses a way out; a datagram socket sends nothing yet
        found.append(asking.getsockname()[0])
    with suppress(OSError, UnicodeError):  # no name, or one that no network can carry
        name = socket.gethostname().casefold().encode("idna").decode()  # as browsers ask for it
        bare = name.partition(".")[0]
        found += [*_addresses_of(name), name, *((bare, f"{bare}.local") if bare else ())]
    return tuple(dict.fromkeys(one for one in found if one and not one.startswith("127.")))


def _addresses_of(name: str) -> list[str]:
    with suppress(OSError):
        return socket.gethostbyname_ex(name)[2]
    return []


@cache
def addresses_of(name: str) -> tuple[str, ...]:
    """Where a name leads from here, as far as that can be found out in two seconds."""
    found: list[str] = []
    looking = Thread(target=lambda: found.extend(_addresses_of(name)), daemon=True)
    looking.start()
    looking.join(LOOK_UP_S)
    return tuple(found)


def leads_here(name: str) -> bool:
    """Whether others come to this machine by a name: one of its own addresses, not to itself."""
    return any(not one.startswith("127.") and _is_ours(one) for one in addresses_of(name))


def _is_ours(address: str) -> bool:
    """Whether an address is one of this machine: only such can be listened on."""
    try:
        with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as tried:
            tried.bind((address, 0))
    except OSError:
        return False
    return True
