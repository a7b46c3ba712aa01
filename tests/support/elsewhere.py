"""Elsewhere: what only POSIX systems have is taken away, then Python's own lines are run.

    python elsewhere.py "CODE"

The standard library and numpy are loaded first: for another system they are built otherwise.  What
the other packages in use and this program load after that finds no such part.
"""

import asyncio
import ctypes
import getpass
import importlib.abc
import logging.config
import multiprocessing.connection
import multiprocessing.shared_memory
import multiprocessing.synchronize
import os
import platform
import pty
import shutil
import signal
import socket
import subprocess
import sys
import tempfile
import webbrowser

import numpy as np

LOADED = (asyncio, ctypes, getpass, logging.config, multiprocessing.connection, platform, pty,
          multiprocessing.shared_memory, multiprocessing.synchronize, shutil, subprocess, tempfile,
          webbrowser, np)  # fmt: skip
MODULES = ("crypt", "curses", "fcntl", "grp", "nis", "ossaudiodev", "pty", "pwd", "readline",
           "resource", "spwd", "syslog", "termios", "tty")  # fmt: skip
OF_OS = (
    "chown", "chroot", "fchmod", "fchown", "fork", "forkpty", "getegid", "geteuid", "getgid",
    "getgroups", "getloadavg", "getpgid", "getpgrp", "getresuid", "getsid", "getuid", "initgroups",
    "killpg", "lchown", "mkfifo", "mknod", "nice", "openpty", "pathconf", "posix_fadvise",
    "posix_fallocate", "posix_spawn", "pread", "pwrite", "readv", "register_at_fork",
    "sched_getaffinity", "sched_yield", "sendfile", "setegid", "seteuid", "setgid", "setpgid",
    "setsid", "setuid", "statvfs", "sync", "sysconf", "tcgetpgrp", "uname", "wait", "wait3",
    "wait4", "writev", "O_CLOEXEC", "O_DIRECTORY", "O_NOFOLLOW", "O_NONBLOCK", "O_SYNC",
)  # fmt: skip
OF_SIGNAL = ("SIGALRM", "SIGCHLD", "SIGCONT", "SIGHUP", "SIGPIPE", "SIGQUIT", "SIGSTOP",
             "SIGTSTP", "SIGUSR1", "SIGUSR2", "SIGWINCH", "alarm", "pthread_kill",
             "setitimer", "siginterrupt", "sigwait")  # fmt: skip
OF_SOCKET = ("SO_REUSEPORT", "send_fds", "recv_fds")


class _Nowhere(importlib.abc.MetaPathFinder):
    """Finds that a module of another system is not there."""

    def find_spec(self, fullname, path=None, target=None):
        del path, target
        if fullname.partition(".")[0] in MODULES:
            raise ModuleNotFoundError(f"No module named {fullname!r}", name=fullname)


def main():
    """Take all of it away, and run what was asked for."""
    for name in MODULES:
        sys.modules.pop(name, None)
    sys.meta_path.insert(0, _Nowhere())
    for module, names in ((os, OF_OS), (signal, OF_SIGNAL), (socket, OF_SOCKET)):
        for name in names:
            if hasattr(module, name):
                delattr(module, name)
    exec(compile(sys.argv[1], "told", "exec"), {"__name__": "__main__"})  # noqa: S102 — a test's


if __name__ == "__main__":
    main()
