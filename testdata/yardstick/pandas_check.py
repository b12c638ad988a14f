"""The yardstick for speed: what a careful analyst's script does with the same recordings.

pandas reads, NumPy measures (weight from the quietest second, onset by 5 SD, velocity by the trapezoid rule, takeoff and
landing at 10 N), two processes share the files. Usage: pandas_check.py FOLDER
"""
import glob
import multiprocessing
import sys
import time

import numpy as np
import pandas as pd

G = 9.80665


def read(path):
    return pd.read_csv(path)


def measure(frame):
    time_s, total = frame.iloc[:, 0].to_numpy(), frame.iloc[:, 1].to_numpy() + frame.iloc[:, 2].to_numpy()
    rate = (len(time_s) - 1) / (time_s[-1] - time_s[0])
    n = int(rate)
    sums, squares = np.cumsum(np.insert(np.nan_to_num(total), 0, 0)), np.cumsum(np.insert(np.nan_to_num(total) ** 2, 0, 0))
    low = np.flatnonzero(total < 10)
    if len(low) < 5 or len(total) <= n:
        return None
    takeoff, landing = low[0], low[-1]
    if takeoff <= n:
        return None
    mean = (sums[n:takeoff] - sums[:takeoff - n]) / n
    var = (squares[n:takeoff] - squares[:takeoff - n]) / n - mean**2
    at = int(np.argmin(var))
    weight, sd = mean[at], np.sqrt(max(var[at], 0))
    below = np.flatnonzero(total[at + n:takeoff] < weight - max(5 * sd, 5))
    if len(below) == 0:
        return None
    onset = at + n + below[0] - int(0.03 * rate)
    velocity = np.concatenate([[0], np.cumsum((total[onset + 1:takeoff + 1] + total[onset:takeoff]) / 2 - weight)]) / rate * G / weight
    flight = (landing - takeoff) / rate
    return weight, velocity[-1] ** 2 / 2 / G, G * flight**2 / 8


def both(path):
    return measure(read(path))


def main():
    paths = sorted(glob.glob(sys.argv[1] + "/*.csv"))
    start = time.perf_counter()
    for path in paths:
        read(path)
    alone = time.perf_counter() - start
    start = time.perf_counter()
    with multiprocessing.Pool(2) as pool:
        done = sum(r is not None for r in pool.imap(both, paths, chunksize=16))
    whole = time.perf_counter() - start
    print(f"pandas {pd.__version__} numpy {np.__version__} files {len(paths)} measured {done} read_one_process_s {alone:.3f} whole_two_processes_s {whole:.3f}")


if __name__ == "__main__":
    main()
