"""Nothing waits for ever: every wait has a limit, or stands here with the reason why it ends."""

import ast

WAITS = {"wait", "join", "acquire", "result", "recv", "accept", "communicate", "get", "exception"}
OPENS = {"Popen", "create_connection", "urlopen", "subprocess.run", "subprocess.call"}
OPENS |= {"subprocess.check_call", "subprocess.check_output"}
MAKES = {"Lock", "RLock", "Condition", "Semaphore", "Barrier", "Event"}
LIMITS = {"timeout", "callback_timeout"}

ENDS = {
    # Waits without a limit.
    ("services/by_processes.py", "self._todo.get()"): "close() puts an end for each worker",
    ("services/by_processes.py", "given.get()"): "the process ends with its parent",
    ("faces/web/server/request_queue.py", "line.turn.acquire()"): "stands under asyncio.timeout()",
    # Starts of processes.
    ("services/by_processes.py", "Popen"): "begins and does not wait",
    # Events are waited for above; locks are held for so long:
    ("services/by_processes.py", "Event()"): "",
    ("faces/web/server/background_jobs.py", "Event()"): "",
    ("faces/web/server/connection_timeouts.py", "sock.accept()"): "the socket does not block",
    ("faces/web/server/connection_timeouts.py", "task.exception()"): "of a task that is done",
    ("faces/web/phone_sync/take_in.py", "Lock()"): "a look at a rig and a save, which have limits",
    ("faces/web/page_request.py", "Lock()"): "the order of a few entries",
    ("faces/web/server/worker_processes.py", "line.recv()"): "something has come already",
    ("faces/web/server/health.py", "Lock()"): "a look whether somebody asked already",
    ("faces/web/photo_form.py", "Lock()"): "taken with a limit",
    ("faces/charts.py", "Lock()"): "a drawing, which waits for nothing",
    ("storage/files.py", "Lock()"): "a look at a file",
    ("storage/guesses.py", "Lock()"): "a look into a table, which waits no longer than SQLite does",
    ("storage/notebook.py", "Lock()"): "a save, which waits for a file no longer than SQLite does",
    ("storage/schema.py", "Lock()"): "one step of the schema",
}


def calls(tree):
    return (one for one in ast.walk(tree) if isinstance(one, ast.Call))


def name_of(call):
    target = call.func
    return target.attr if isinstance(target, ast.Attribute) else getattr(target, "id", "")


def unlimited(call):
    """What a call would wait for without a limit, as it stands in the source; else nothing."""
    name, limited = name_of(call), LIMITS & {one.arg for one in call.keywords}
    text = ast.unparse(call)
    if name in WAITS and not call.args and not limited:
        return text
    opened = ast.unparse(call.func)
    if not limited and (opened in OPENS or opened.split(".")[-1] in OPENS):
        return opened
    return f"{name}()" if name in MAKES and isinstance(call.func, ast.Name) else ""


def found_in(house):
    source = house / "src" / "tapewright"
    return {
        (path.relative_to(source).as_posix(), text)
        for path in sorted(source.rglob("*.py"))
        for call in calls(ast.parse(path.read_text(encoding="utf-8")))
        if (text := unlimited(call))
    }


def test_every_wait_has_a_limit_or_a_reason(house):
    assert found_in(house) - set(ENDS) == set()


def test_no_reason_outlives_its_wait(house):
    assert set(ENDS) - found_in(house) == set()


def test_a_wait_without_a_limit_would_be_found():
    bad = (
        "thread.join()", "event.wait()", "queue.get()", "future.result()", "lock.acquire()",
        "subprocess.run(words)", "urlopen(address)", "pipe.recv()",
    )  # fmt: skip
    good = (
        "thread.join(3.0)", "queue.get(timeout=1.0)", "', '.join(words)", "table.get('key')",
        "subprocess.run(words, timeout=5.0)", "future.result(timeout=5.0)",
    )  # fmt: skip
    assert all(unlimited(next(calls(ast.parse(line)))) for line in bad)
    assert not any(unlimited(next(calls(ast.parse(line)))) for line in good)
