"""Trains all networks in order: run.py PICTURES MAPS TRACED WORK [--from STEP]

PICTURES: train/ and judge/ with SOURCE/*.jpg, made by pictures.py. MAPS: train/ and judge/ with environment maps (.hdr, .exr, .npy). TRACED: a folder of
path-traced photos with truth and masks (render/make.py). WORK: a folder for everything that is made. Needs an NVIDIA card, two are better; and cargo, since
the last step has the program read. It puts the weights in the place of the program's: the gate in README.md comes before a commit.
"""

import argparse, glob, os, subprocess, sys

HERE = os.path.dirname(os.path.abspath(__file__))


def steps(a):
    p = lambda *x: os.path.join(a.work, *x)
    maps = lambda role: sorted(f for e in ("hdr", "exr", "npy") for f in glob.glob(f"{a.maps}/{role}/*.{e}"))
    now = os.path.join(HERE, "..", "reading", "network")
    world = lambda out, pictures, env, films: ["world.py", p(out), p(pictures), p("traced.pkl"), "--films", films, "--env", p(env)]
    return [
        ["pack.py", p("traced.pkl"), a.traced],
        ["pack_pictures.py", p("pictures.pkl"), f"{a.pictures}/train", "165"],
        ["pack_pictures.py", p("held.pkl"), f"{a.pictures}/train", "18", "320", "50", "--from", "300"],
        ["maps.py", p("train.npz"), *maps("train")],
        ["maps.py", p("judge.npz"), *maps("judge")],
        # Every other map and source: what the program's readings teach is judged by the others.
        ["maps.py", p("readings.npz"), *maps("judge")[::2]],
        ["pack_pictures.py", p("readings.pkl"), f"{a.pictures}/judge", "60", "320", "50", "--every", "2"],
        world("world", "pictures.pkl", "train.npz", "12000"),
        ["train.py", p("world"), "--seconds", "190", "--onnx", now, "--producers", "6", "--out", p("v1")],
        ["train.py", p("world"), "--seconds", "480", "--init", p("v1"), "--lr", "2e-3", "--out", p("v2")],
        ["train.py", p("world"), "--seconds", "255", "--init", p("v2"), "--lr", "1.3e-3", "--seed", "7", "--out", p("v3")],
        ["export.py", p("v3"), p("v3")],
        ["train_film.py", p("world"), "--seconds", "3000", "--out", p("film")],
        ["export.py", p("film"), p("v3")],
        ["quick_films.py", "16000", p("gaps.npz")],
        ["judge.py", "make", "500", p("exact.npz"), "900000"],
        ["judge.py", "train", p("gaps.npz"), p("exact.npz"), p("v3"), "300", f"{now}/judge.onnx"],
        ["half.py", *(p("v3", f"{name}.onnx") for name in ("finder", "reader", "film", "seam", "judge"))],
        world("held", "held.pkl", "judge.npz", "10"),
        ["calibrate.py", p("held"), p("calibration"), "2700", "cuda:0"],
        world("readings", "readings.pkl", "readings.npz", "10"),
        ["readings.py", p("v3"), p("readings"), p("gaps.npz"), p("exact.npz"), p("taught")],
    ]


if __name__ == "__main__":
    ap = argparse.ArgumentParser()
    for n in ("pictures", "maps", "traced", "work"):
        ap.add_argument(n)
    ap.add_argument("--from", dest="first", type=int, default=1)
    a = ap.parse_args()
    os.makedirs(os.path.join(a.work, "v3"), exist_ok=True)
    for k, s in enumerate(steps(a), 1):
        if k >= a.first:
            print(f"step {k}: {' '.join(s)[:160]}", flush=True)
            subprocess.run([sys.executable, os.path.join(HERE, s[0]), *s[1:]], check=True)
