"""Unpacks what the training pictures are made of into a folder: world.py OUT PICTURES.pkl TRACED.pkl [--films N] [--env MAPS.npz] [--metal PICTURES.pkl]"""

import argparse, os, pickle, shutil
from multiprocessing import Pool
import numpy as np, cv2
import data, films

BACK, TILE = 320, 256


def unpack(rec):
    c = data.canvas(rec["jpg"], data.SIDE)
    return None if c is None else (*c, data.square(rec["jpg"], BACK))


def tile(jpg):
    """Grey values of worked metal, without the light's fall-off, mean 0 and variance 1, mirrored so that it goes on at its borders."""
    g = cv2.cvtColor(data.square(jpg, TILE).transpose(1, 2, 0).copy(), cv2.COLOR_RGB2GRAY).astype(np.float32)
    g = np.log(g + 8) - cv2.GaussianBlur(np.log(g + 8), (0, 0), 40)
    g = ((g - g.mean()) / (g.std() + 1e-6)).clip(-3, 3)
    h = cv2.resize(g, (TILE // 2, TILE // 2), interpolation=cv2.INTER_AREA)
    return np.block([[h, h[:, ::-1]], [h[::-1], h[::-1, ::-1]]])


if __name__ == "__main__":
    ap = argparse.ArgumentParser()
    ap.add_argument("out"), ap.add_argument("pictures"), ap.add_argument("traced")
    ap.add_argument("--films", type=int, default=12000)
    ap.add_argument("--first", type=int, default=0)
    ap.add_argument("--env", default="")
    ap.add_argument("--metal", default="")
    a = ap.parse_args()
    os.makedirs(a.out, exist_ok=True)
    with Pool() as p:
        R = [r for r in p.map(unpack, pickle.load(open(a.pictures, "rb")), chunksize=20) if r is not None]
    np.savez(f"{a.out}/none.npz", y=np.stack([r[0] for r in R]), size=np.array([r[1] for r in R]))
    np.save(f"{a.out}/backgrounds.npy", np.stack([r[2] for r in R]))
    for seams in (False, True):
        np.savez(f"{a.out}/{'seam_films' if seams else 'films'}.npz", **films.make(a.films // (2 if seams else 1), seams, a.first))
    if a.env:
        np.save(f"{a.out}/maps.npy", np.load(a.env)["maps"])
    if a.metal:
        np.save(f"{a.out}/tiles.npy", np.stack([tile(r["jpg"]) for r in pickle.load(open(a.metal, "rb"))]).astype(np.float16))
    shutil.copy(a.traced, f"{a.out}/traced.pkl")
    print(len(R), "pictures", os.listdir(a.out))
