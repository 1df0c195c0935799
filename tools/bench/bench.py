#!/usr/bin/env python3
"""Print how many spectra a second we and two general-purpose libraries measure.

    python3 tools/bench/bench.py [-n 500] [--seed 1]

All three run in this call, one after the other, on one thread, on the same
seeded spectra of 401 samples: ours the full set of measures, colour-science
chromaticity, colour temperature, rendering and TM-30, luxpy the same plus
α-opic, blue light and circadian light, as one batch. CPU time, best of three.
"""

import argparse
import os
import pathlib
import subprocess
import sys
import time

HERE = pathlib.Path(__file__).resolve().parent
sys.path.insert(0, str(HERE.parent / "reference"))
sys.dont_write_bytecode = True
import reference  # noqa: E402


def best(work, count, times=3):
    """Spectra a second of CPU time, the best of some runs."""
    rates = []
    for k in range(times):
        start = time.process_time()
        work(k)
        rates.append(count / (time.process_time() - start))
    return max(rates)


def measure(n, seed):
    import warnings
    warnings.filterwarnings("ignore")
    import numpy as np
    import colour
    import luxpy as lx
    from luxpy.toolboxes import photbiochem as ph

    document = reference.ours("-n", n, "-seed", seed, "-rate")
    values = np.array([s["values"] for s in document["spectra"]])
    nm = np.arange(380, 781)
    rng = np.random.default_rng(seed)

    def fresh(k, count):
        # The libraries keep results by content: every run gets new numbers.
        return values[:count] * (1 + 1e-6 * (k + 1) * rng.random((count, 1)))

    few = min(n, 60)
    cmf = colour.MSDS_CMFS["CIE 1931 2 Degree Standard Observer"].copy().trim(colour.SpectralShape(380, 780, 1)).values

    def colour_science(k):
        for v in fresh(k, few):
            sd = colour.SpectralDistribution(v, nm)
            xyz = (cmf * v[:, None]).sum(axis=0)
            colour.temperature.uv_to_CCT_Ohno2013(colour.UCS_to_uv(colour.XYZ_to_UCS(xyz)))
            colour.quality.colour_rendering_index(sd, additional_data=True)
            colour.quality.colour_fidelity_index_ANSIIESTM3018(sd, additional_data=True)

    weight = np.interp(nm, ph._BLH[0], ph._BLH[1], left=0, right=0)

    def luxpy(k):
        spd = np.vstack((nm, fresh(k, n)))
        xyz = lx.spd_to_xyz(spd, cieobs="1931_2", relative=True)
        lx.spd_to_xyz(spd, cieobs="1964_10", relative=True)
        lx.xyz_to_cct(xyz, cieobs="1931_2", out="cct,duv", mode="ohno2014")
        lx.cri.spd_to_cri(spd, cri_type="ciera-14", out="Rf,Rfi")
        lx.cri.spd_to_cri(spd, cri_type="iesrf-tm30-20", out="Rf,Rg,Rcshj,Rhshj,Rfhj,Rfi")
        ph.spd_to_aopicELR(spd)
        (spd[1:] * weight).sum(axis=1)
        ph.spd_to_CS_CLa_lrc(spd, E=500)

    colour_science(100)
    luxpy(100)  # first use loads tables
    ours, theirs, batch = document["spectra_per_s"], best(colour_science, few), best(luxpy, n)
    print(f"full sets of measures a second on one thread, {n} spectra of 401 samples")
    print(f"  ours                              {ours:10.0f}")
    print(f"  colour-science 0.4.7, one by one  {theirs:10.0f}   ours is {ours / theirs:6.1f} times as fast")
    print(f"  luxpy 1.12.5, one batch           {batch:10.0f}   ours is {ours / batch:6.1f} times as fast")


def main():
    ap = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    ap.add_argument("-n", type=int, default=500, help="number of spectra")
    ap.add_argument("--seed", type=int, default=1)
    ap.add_argument("--inside", action="store_true", help=argparse.SUPPRESS)
    args = ap.parse_args()
    if args.inside:
        measure(args.n, args.seed)
        return
    one = {"OMP_NUM_THREADS": "1", "OPENBLAS_NUM_THREADS": "1", "GOMAXPROCS": "1"}
    done = subprocess.run([str(reference.environment()), __file__, "--inside", "-n", str(args.n), "--seed", str(args.seed)],
                          env={**os.environ, **one})
    sys.exit(done.returncode)


if __name__ == "__main__":
    main()
