"""Runs a command and prints, as JSON, what it took: python measured_run.py COMMAND ...

A process of its own, and a small one: the most memory that the system knows of a process counts what it was
forked from, so a command started by a large process would seem as large.
"""

import json
import os
import subprocess
import sys
import time

start = time.perf_counter()
process = subprocess.Popen(sys.argv[1:], stdout=subprocess.DEVNULL, stderr=subprocess.PIPE)
assert process.stderr is not None
complaint = process.stderr.read().decode()
_, status, usage = os.wait4(process.pid, 0)
found = {
    "seconds": time.perf_counter() - start,
    "cpu_seconds": usage.ru_utime + usage.ru_stime,
    "peak_kib": usage.ru_maxrss,
    "exit": os.waitstatus_to_exitcode(status),
    "complaint": complaint,
}
process.returncode = found["exit"]
print(json.dumps(found))
