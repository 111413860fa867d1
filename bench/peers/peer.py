"""The peers' side of bench/peer.h: say what runs, then run when asked."""
import sys
import time


def serve(name, call, answer, fill_s=0.005):
    """call() is timed, often enough to fill fill_s; answer(what it returned) is a row of numbers."""
    begun = time.process_time()
    call()
    calls = max(1, int(fill_s / max(time.process_time() - begun, 1e-9)))
    print("ready", name, flush=True)
    for line in sys.stdin:
        if line.strip() != "run":
            break
        begun = time.process_time()
        for _ in range(calls):
            result = call()
        seconds = (time.process_time() - begun) / calls
        numbers = [float(x) for x in answer(result)]
        print(seconds, len(numbers), *(repr(x) for x in numbers), flush=True)
