"""The most memory that this process has taken. What getrusage tells begins at that of the process that started it."""

import resource
from pathlib import Path

STATUS = Path("/proc/self/status")


def peak_memory():
    """Give it in KiB."""
    if not STATUS.exists():
        return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
    lines = STATUS.read_text(encoding="ascii", errors="replace").splitlines()
    return next(int(line.split()[1]) for line in lines if line.startswith("VmHWM:"))
