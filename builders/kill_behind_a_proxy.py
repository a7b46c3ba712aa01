"""Kill behind a proxy: workers and backends of a deployed notebook killed while people use it.

    python builders/kill_behind_a_proxy.py [--proxy nginx|caddy] [--seconds 60] [--people 8]

nginx or Caddy with the site of deploy/ before two workers, PostgreSQL behind them; a worker and a
backend are killed in turn every few seconds. Needs the proxy and postgresql (Debian's packages).
Everything stays on this machine's own addresses and ends by itself.

Holds:  the run; its figures.
Never:  assertions: tests/journeys/web/test_behind_a_proxy.py has a small form of it.
"""

import argparse
import json
import sys
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
sys.path[:0] = [str(ROOT / "src"), str(ROOT / "tests" / "support")]

from notebooks import private_server  # noqa: E402 — found by the line above
from proxied import lived_through  # noqa: E402 — the same

if __name__ == "__main__":
    asked = argparse.ArgumentParser()
    asked.add_argument("--proxy", choices=("nginx", "caddy"), default="nginx")
    asked.add_argument("--seconds", type=float, default=60.0)
    asked.add_argument("--people", type=int, default=8)
    asked.add_argument("--every", type=float, default=3.0, help="seconds between two kills")
    said = asked.parse_args()
    with private_server() as server:
        found = lived_through(
            server, said.proxy, seconds=said.seconds, people=said.people, every_s=said.every
        )
    print(json.dumps(found, indent=1))
