"""Run a command, then say how long it took and how much memory it and its children held: python tests/benchmarks/peaks.py COMMAND."""

import subprocess
import sys
import time

import psutil

if __name__ == "__main__":
    began, peaks = time.perf_counter(), dict[str, int]()
    with subprocess.Popen(sys.argv[1:]) as process:
        seen = psutil.Process(process.pid)
        while process.poll() is None:
            try:
                for one in (seen, *seen.children(recursive=True)):
                    key = f"{one.pid} {'command' if one is seen else 'child'}"
                    peaks[key] = max(peaks.get(key, 0), one.memory_info().rss)
            except psutil.NoSuchProcess:
                pass
            time.sleep(0.2)
    print(f"{time.perf_counter() - began:.1f} s, exit code {process.returncode}", file=sys.stderr)
    for key, most in peaks.items():
        print(f"{most / 1e6:6.0f} MB  {key}", file=sys.stderr)
