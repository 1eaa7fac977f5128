"""Path-traced photos in captured light: jaws of render/ under environment maps of real places, before and between real photographs, with
films, colours and phones of other looks than its own. captured.py VARIANT SET OUT MAPS.npz PICTURES.pkl [--films 0|1] [--shard i/n] [--spp N] [--scale S]

VARIANT and SET as for render/make.py. MAPS.npz: maps.py made it of light that is kept apart from what is to be tuned; PICTURES.pkl likewise
(pack_pictures.py). --films: which of two sets of film looks and colours, so that one may be tuned on and the other reported on.
"""

import argparse, os, pickle, sys, traceback

ap = argparse.ArgumentParser()
for word in ("variant", "set", "out", "maps", "pictures"):
    ap.add_argument(word)
ap.add_argument("--films", type=int, default=0)
ap.add_argument("--shard", default="0/1")
ap.add_argument("--spp", type=int, default=64)
ap.add_argument("--scale", type=float, default=0.5)
A = ap.parse_args()
sys.path.insert(0, os.path.join(os.path.dirname(os.path.abspath(__file__)), "render"))

import mitsuba as mi

mi.set_variant(A.variant)
mi.set_log_level(mi.LogLevel.Error)
import cv2, drjit as dr, numpy as np
from scipy.spatial import cKDTree
import case, plan, scene, world
from scene import noise, rgb, smooth, tex

cv2.setNumThreads(2)
MAPS = np.load(A.maps)["maps"]
PICTURES = pickle.load(open(A.pictures, "rb"))
own = dict(lights=world.lights, bench=world.bench, surroundings=world.surroundings, film=scene.fine_film, style=case.style, phone=case.phone)


def photo(rng):
    """A photograph as reflectance."""
    jpg = PICTURES[int(rng.integers(len(PICTURES)))]["jpg"]
    return np.clip((cv2.imdecode(np.frombuffer(jpg, np.uint8), 1)[..., ::-1].astype(np.float32) / 255) ** 2.2, 0.003, 0.9)


def envmap(rng, up, level, tint, busy=1.0, pal=None):
    light = cv2.resize(MAPS[int(rng.integers(len(MAPS)))].astype(np.float32).transpose(1, 2, 0), (1024, 512), interpolation=cv2.INTER_LINEAR)
    light = np.concatenate([light, light[:, :1]], 1) * 0.42 * level  # as bright as render/'s own on average
    across, _ = world.ortho(world.norm(up))
    M = np.eye(4)
    M[:3, 0], M[:3, 1], M[:3, 2] = across, world.norm(up), np.cross(across, world.norm(up))
    turn = mi.ScalarTransform4f(M) @ mi.ScalarTransform4f().rotate([0, 1, 0], float(rng.uniform(0, 360)))
    return {"type": "envmap", "bitmap": mi.Bitmap(np.ascontiguousarray(light, np.float32)), "to_world": turn}


def lights(rng, jaw, nu, up, cam_o, cam_f):
    """The place's light alone in more than half of the photos, else lamps with it."""
    nu = dict(nu)
    if not nu.get("glare") and rng.random() < 0.55:
        nu["light"] = []
    else:
        nu["gain"] *= rng.uniform(0.4, 1.0)
    nu["env"] = rng.uniform(0.8, 2.0)
    return own["lights"](rng, jaw, nu, up, cam_o, cam_f)


def bench(rng, kind, z, colour=None):
    """Two benches in three wear a photograph."""
    if rng.random() < 0.35:
        return own["bench"](rng, kind, z, colour)
    c, size = photo(rng), rng.uniform(350, 900)
    matt = {"type": "diffuse", "reflectance": tex(c)}
    glossy = {"type": "roughplastic", "diffuse_reflectance": tex(c), "alpha": float(rng.uniform(0.08, 0.3))}
    place = mi.ScalarTransform4f().translate([0, 0, z]).scale([size / 2, size / 2, 1]).rotate([0, 0, 1], float(rng.uniform(0, 360)))
    return {"type": "rectangle", "to_world": place, "b": {"type": "twosided", "x": matt if rng.random() < 0.5 else glossy}}


def surroundings(rng, jaw, kind, nu, st):
    """Boards with photographs stand around, seen or mirrored in the metal."""
    shapes, up = own["surroundings"](rng, jaw, kind, nu, st)
    for i in range(int(rng.integers(0, 4))):
        angle, d, s = rng.uniform(0, 2 * np.pi), rng.uniform(120, 380), rng.uniform(40, 160)
        at = [float(d * np.cos(angle)), float(d * np.sin(angle)), float(rng.uniform(-30, 220))]
        towards = [float(rng.uniform(-60, 60)), float(rng.uniform(-60, 60)), float(rng.uniform(0, 60))]
        place = mi.ScalarTransform4f().look_at(origin=at, target=towards, up=[0.1, 0.2, 1]).scale([s, s * float(rng.uniform(0.5, 1.2)), 1])
        shapes[f"board{i}"] = {"type": "rectangle", "to_world": place, "b": {"type": "twosided", "x": {"type": "diffuse", "reflectance": tex(photo(rng))}}}
    return shapes, up


def rings(rng, sh, mm, T):
    """The film drew back to the rims of its pools."""
    q = np.abs(np.mod(noise(rng, sh, rng.uniform(1.5, 5) * mm, 3, 0.5) * rng.uniform(1, 2.2), 1) - 0.5) * 2
    return np.clip(0.28 + 1.25 * smooth(q, 0.55, 0.95), 0, 1.6)


def torn(rng, sh, mm, T):
    """Branches stayed; between them a part left with the work."""
    n, w = np.abs(noise(rng, sh, rng.uniform(1.2, 4) * mm, 4, 0.55)), rng.uniform(0.35, 0.8)
    return rng.uniform(0.08, 0.3) + 0.8 * (1 - smooth(n, w * 0.7, w))


def flakes(rng, sh, mm, T):
    return 1 - 0.9 * smooth(noise(rng, sh, rng.uniform(0.5, 2) * mm, 4, 0.6), rng.uniform(0.3, 0.9), 1.2)


def rim(rng, sh, mm, T):
    """Thick along its outline, drawn thin inside."""
    d = cv2.distanceTransform((T > 2).astype(np.uint8), cv2.DIST_L2, 3) / mm
    return np.clip(rng.uniform(0.25, 0.5) + 1.4 * np.exp(-d / rng.uniform(0.5, 1.6)) + 0.15 * noise(rng, sh, 2 * mm, 2), 0.1, 2)


def crackled(rng, sh, mm, T):
    """Cells with cracks between them, some gone."""
    n = int(np.clip(sh[0] * sh[1] / (rng.uniform(1.0, 3.0) * mm) ** 2, 20, 4000))
    yy, xx = np.mgrid[0 : sh[0] : 4, 0 : sh[1] : 4]
    at = np.stack([yy.ravel(), xx.ravel()], 1) + 0.11 * mm * rng.standard_normal((yy.size, 2))
    d, cell = cKDTree(np.stack([rng.uniform(0, sh[0], n), rng.uniform(0, sh[1], n)], 1)).query(at, k=2)
    left = np.where(rng.random(n) < rng.uniform(0.05, 0.3), rng.uniform(0.05, 0.25), 1.0)[cell[:, 0]]
    share = left * (0.25 + 0.75 * smooth(d[:, 1] - d[:, 0], 0, 0.25 * mm))
    return cv2.resize(share.reshape(yy.shape).astype(np.float32), (sh[1], sh[0]))


def streaks(rng, sh, mm, T):
    """Of the brush."""
    return np.clip(1 + 0.75 * noise(rng, sh, (rng.uniform(6, 14) * mm, 0.35 * mm), 2), 0.05, 2)


LOOKS = [(rings, torn, flakes), (rim, crackled, streaks)][A.films]
# Deep colour, thin-film scatter, absorption, as in render/case.py: beside its blue, red, violet and green.
COLOURS = [
    [((0.72, 0.72, 0.70), (0.5, 0.5, 0.48), (0.25, 0.25, 0.28)), ((0.006, 0.006, 0.007), (0.008, 0.008, 0.009), (1, 1, 1)), ((0.70, 0.48, 0.03), (0.4, 0.28, 0.03), (0.05, 0.2, 1.0)),
     ((0.55, 0.05, 0.22), (0.3, 0.04, 0.15), (0.1, 0.8, 0.5)), ((0.01, 0.22, 0.25), (0.02, 0.2, 0.22), (1, 0.25, 0.2))],
    [((0.10, 0.04, 0.015), (0.1, 0.05, 0.02), (0.4, 0.7, 1.0)), ((0.012, 0.012, 0.014), (0.01, 0.01, 0.012), (1, 1, 0.9)), ((0.68, 0.6, 0.42), (0.5, 0.42, 0.3), (0.2, 0.3, 0.5)),
     ((0.25, 0.5, 0.03), (0.2, 0.3, 0.03), (0.5, 0.15, 1.0)), ((0.4, 0.02, 0.3), (0.3, 0.02, 0.2), (0.2, 1.0, 0.4))],
][A.films]


def film(rng, f, t, res, arc):
    T, k = own["film"](rng, f, t, res, arc), rng.random()
    if k < 0.3 or (f.method == "transfer" and k > 0.5):
        return T
    look = LOOKS[0 if k < 0.55 else 1 if k < 0.8 else 2]
    return T * look(rng, T.shape, 1 / res, T)


def style(r, far, colour):
    st = own["style"](r, far, colour)
    if r.random() < 0.3:
        deep, thin, absorbed = COLOURS[int(r.integers(len(COLOURS)))]
        st["comp_rgb"] = (np.array(deep) * np.exp(r.normal(0, 0.06, 3))).tolist()
        st["comp_rgb2"], st["absorb"] = (np.array(thin) * 0.5).tolist(), list(absorbed)
    return st


def phone(img, r, nu, cs, out_wh, fm=None):
    """Local tone mapping, denoising that smears, halos, a messenger's copy."""
    u8, q = own["phone"](img, r, nu, cs, out_wh, fm), np.random.default_rng(cs["seed"] + 99)
    if q.random() < 0.35:
        lab = cv2.cvtColor(u8, cv2.COLOR_RGB2LAB)
        lab[..., 0] = cv2.createCLAHE(q.uniform(1.2, 3), (6, 6)).apply(lab[..., 0])
        u8 = cv2.cvtColor(lab, cv2.COLOR_LAB2RGB)
    if q.random() < 0.3:
        u8 = cv2.bilateralFilter(u8, 7, q.uniform(15, 40), 4)
    if q.random() < 0.3:
        soft, sharp = cv2.GaussianBlur(u8, (0, 0), q.uniform(1, 2.5)).astype(np.float32), u8.astype(np.float32)
        u8 = np.clip(sharp + q.uniform(0.5, 1.3) * (sharp - soft), 0, 255).astype(np.uint8)
    if q.random() < 0.4:
        h, w = u8.shape[:2]
        k = q.uniform(0.55, 1.0)
        small = cv2.resize(u8, None, fx=k, fy=k, interpolation=cv2.INTER_AREA)
        sent = cv2.imdecode(cv2.imencode(".jpg", small[..., ::-1], [cv2.IMWRITE_JPEG_QUALITY, int(q.integers(45, 78))])[1], 1)[..., ::-1]
        u8 = np.ascontiguousarray(cv2.resize(sent, (w, h), interpolation=cv2.INTER_CUBIC))
    return u8


world.envmap, world.bench = envmap, bench
case.lights, case.surroundings, case.style, case.phone = lights, surroundings, style, phone
scene.fine_film = film

if __name__ == "__main__":
    os.makedirs(A.out, exist_ok=True)
    i, n = map(int, A.shard.split("/"))
    for c in plan.cases(A.set)[i::n]:
        c.pop("big", None)  # one size for all
        try:
            told, _ = case.render_case(c, A.out, A.spp, A.scale)
            print(c["name"], c["kind"], told["pattern"], flush=True)
        except Exception:
            print("FAIL", c["name"], c["kind"])
            traceback.print_exc()
        dr.flush_malloc_cache()
