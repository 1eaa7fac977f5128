"""One case (a dict from plan.py) -> picture, masks, truth."""

import io, json, datetime, time
import numpy as np, cv2, piexif
from PIL import Image
import mitsuba as mi
import drjit as dr
import gapfield as gf
from scene import Jaw, noise, smooth, D2R
from world import surroundings, lights, Camera, norm, kelvin, GLOVES, rag, capsule
import world

U = lambda r, a, b: float(r.uniform(a, b))
pick = lambda r, xs, p=None: xs[int(r.choice(len(xs), p=p))]

TINTS = {  # name: list of (deep colour, thin-film scatter, absorption r g b)
    "blue": [
        ((0.008, 0.030, 0.20), (0.02, 0.06, 0.22), (1.0, 0.62, 0.16)),
        ((0.006, 0.045, 0.26), (0.02, 0.09, 0.28), (1.0, 0.5, 0.14)),
        ((0.008, 0.024, 0.13), (0.015, 0.045, 0.15), (1.0, 0.62, 0.24)),
        ((0.010, 0.075, 0.33), (0.02, 0.10, 0.30), (1.0, 0.42, 0.12)),
    ],
    "red-orange": [
        ((0.50, 0.06, 0.012), (0.30, 0.05, 0.01), (0.06, 0.75, 1.0)),
        ((0.58, 0.11, 0.015), (0.30, 0.08, 0.01), (0.05, 0.6, 1.0)),
        ((0.42, 0.03, 0.015), (0.25, 0.03, 0.01), (0.10, 0.9, 1.0)),
    ],
    "violet": [
        ((0.055, 0.012, 0.10), (0.06, 0.02, 0.10), (0.7, 1.0, 0.35)),
        ((0.035, 0.010, 0.085), (0.04, 0.015, 0.09), (0.8, 1.0, 0.4)),
    ],
    "green": [
        ((0.008, 0.11, 0.045), (0.02, 0.12, 0.05), (1.0, 0.25, 0.7)),
        ((0.012, 0.09, 0.06), (0.02, 0.10, 0.07), (1.0, 0.3, 0.55)),
    ],
}
TINTS_FAR = {
    "blue": [
        ((0.010, 0.12, 0.24), (0.02, 0.12, 0.22), (1.0, 0.35, 0.16)),
        ((0.005, 0.010, 0.05), (0.01, 0.02, 0.07), (1.0, 0.75, 0.4)),
        ((0.03, 0.06, 0.42), (0.05, 0.09, 0.36), (0.9, 0.65, 0.1)),
        ((0.02, 0.022, 0.19), (0.03, 0.03, 0.2), (0.95, 0.7, 0.2)),
        ((0.006, 0.045, 0.26), (0.02, 0.09, 0.28), (1.0, 0.5, 0.14)),
    ],
    "red-orange": [
        ((0.62, 0.20, 0.02), (0.3, 0.1, 0.01), (0.05, 0.45, 1.0)),
        ((0.34, 0.02, 0.03), (0.2, 0.02, 0.02), (0.15, 1.0, 0.9)),
    ],
    "violet": [
        ((0.16, 0.010, 0.09), (0.12, 0.01, 0.08), (0.4, 1.0, 0.45)),
        ((0.030, 0.012, 0.12), (0.04, 0.02, 0.12), (0.85, 1.0, 0.25)),
    ],
    "green": [
        ((0.05, 0.17, 0.02), (0.05, 0.15, 0.02), (0.8, 0.2, 1.0)),
        ((0.004, 0.06, 0.04), (0.01, 0.07, 0.05), (1.0, 0.4, 0.6)),
    ],
}


def style(r, far, colour):
    steel = r.random() < 0.42
    st = {"steel": bool(steel)}
    st["metal_rgb"] = (
        np.array([0.56, 0.55, 0.53]) * U(r, 0.85, 1.1)
        if steel
        else np.array([0.86, 0.865, 0.875]) * U(r, 0.85, 1.02)
    ).tolist()
    f = U(r, 0.05, 0.25)
    if far and r.random() < 0.35:
        f = U(r, 0.25, 0.42)
    st["feed"] = f
    st["line_h"] = float(np.clip(f * f / 8 / U(r, 0.4, 0.9) * U(r, 0.6, 1.3), 0.0012, 0.013))
    st["alpha_along"] = U(r, 0.07, 0.17)
    st["alpha_across"] = U(r, 0.18, 0.34)
    st["texture"] = "turned"
    if far and r.random() < 0.25:  # blasted or polished faces
        if r.random() < 0.5:
            st["line_h"] *= 0.25
            st["alpha_along"] = U(r, 0.28, 0.4)
            st["alpha_across"] = U(r, 0.3, 0.42)
            st["texture"] = "blasted"
            st["bead"] = 2.2
        else:
            st["line_h"] *= 0.35
            st["alpha_along"] = U(r, 0.05, 0.08)
            st["alpha_across"] = U(r, 0.10, 0.16)
            st["texture"] = "polished"
    st["chatter"] = U(r, 0, 0.003) if r.random() < (0.5 if far else 0.2) else 0
    st["bead"] = st.get("bead", U(r, 0.5, 1.5))
    st["wave"] = U(r, 0.3, 1.2)
    st["scratches"] = float(r.choice([2, 6, 14, 30])) * (1.5 if far else 1)
    st["grime"] = U(r, 0.05, 0.28)
    st["grime_rgb"] = pick(
        r, [[0.20, 0.19, 0.17], [0.10, 0.095, 0.09], [0.28, 0.27, 0.26], [0.16, 0.13, 0.09]]
    )
    st["stain"] = U(r, 0.2, 0.9) if r.random() < 0.5 else 0.15
    st["rust"] = U(r, 0.2, 1.0) if steel and r.random() < 0.45 else 0.0
    st["oil"] = U(r, 0.2, 0.9) if r.random() < 0.4 else 0.0
    st["drops"] = bool(r.random() < 0.45)
    st["residue"] = U(r, 0.5, 2.0) if r.random() < 0.45 else 0.0
    d, s, a = pick(r, (TINTS_FAR if far else TINTS)[colour])
    j = r.normal(0, 0.06, 3)
    st["comp_rgb"] = (np.array(d) * np.exp(j)).tolist()
    st["comp_rgb2"] = (np.array(s) * 0.5).tolist()
    st["absorb"] = list(a)
    st["k"] = U(r, 0.09, 0.24)
    st["max_op"] = U(r, 0.93, 0.995)
    st["grain"] = U(r, 0.15, 0.45)
    st["flake"] = U(r, 0, 0.8) if r.random() < 0.6 else 0.0
    st["comp_alpha"] = U(r, 0.14, 0.38)
    return st


def geometry(r, far, face_kw):
    """Random jaw; face_kw gives fixed values."""
    p = {}
    if far and r.random() < 0.5:
        L, W, R = pick(
            r,
            [
                (U(r, 16, 20), U(r, 42, 52), U(r, 45, 110)),
                (U(r, 52, 66), U(r, 22, 30), U(r, 30, 100)),
                (U(r, 25, 40), U(r, 26, 34), U(r, 20, 25)),
                (U(r, 20, 30), U(r, 36, 50), U(r, 110, 160)),
            ],
        )
    else:
        L, W, R = U(r, 18, 60), U(r, 26, 50), U(r, 25, 110)
        L = min(L, W * 1.7)
        L = max(L, W * 0.5)
    W = min(W, 1.45 * R)
    p["length"], p["chord"], p["R"] = L, W, R
    p["block_w"] = W if r.random() < 0.55 else W + U(r, 2, 14)
    p["chamfer"] = U(r, 0.4, 1.4)
    p["chamfer_slope"] = pick(r, [0.58, 1.0])
    p["step"] = U(r, 2.5, 9)
    p["nose"] = U(r, 0, 2.5)
    p["below"] = U(r, 6, 34) if r.random() < 0.87 else 0.4
    p["groove"] = U(r, 0.8, 2.2) if r.random() < 0.75 else 0.0
    p["groove_d"] = U(r, 0.4, 1.0)
    p["depth"] = U(r, 20, 62)
    p["bolts"] = [-U(r, 14, 18), -U(r, 40, 48)] if p["depth"] > 30 and r.random() < 0.7 else []
    p["cb_r"] = U(r, 6.5, 9.5)
    p["screws"] = bool(r.random() < 0.6)
    p["digit"] = int(r.integers(1, 4)) if r.random() < 0.6 else 0
    p["digit_x"] = U(r, -0.34, 0.34)
    p["digit_z"] = -U(r, 6, 10)
    p["digit_h"] = U(r, 4, 8)
    p["digit_font"] = int(r.choice([0, 1, 2, 3, 4]))
    p["digit_rot"] = float(r.choice([0, 0, 180, 90])) + U(r, -5, 5)
    p["brush"] = U(r, 2, 8)
    p["mill"] = bool(r.random() < 0.5)
    p["faced"] = bool(r.random() < 0.5)
    p["edge_r"] = U(r, 0.12, 0.3)
    p["face_grime"] = U(r, 0.3, 1.0)
    p["res"] = 0.028
    return p


def nuisances(r, far):
    nu = {"scene": pick(r, ["bench", "chuck", "hand", "rag"], [0.36, 0.34, 0.14, 0.16])}
    nu["bench"] = pick(r, ["wood", "steel", "paint", "rubber", "card", "paper"])
    nu["clutter"] = int(r.integers(2, 11))
    nu["curls"] = int(r.integers(0, 12))
    nu["rag_rgb"] = list(
        pick(
            r,
            [
                (0.05, 0.12, 0.38),
                (0.45, 0.06, 0.05),
                (0.55, 0.54, 0.5),
                (0.22, 0.22, 0.23),
                (0.62, 0.5, 0.2),
                (0.3, 0.32, 0.36),
            ],
        )
    )
    nu["glove"] = pick(r, list(GLOVES))
    nu["chuck_rgb"] = (np.array([0.16, 0.155, 0.15]) * U(r, 0.5, 1.8)).tolist()
    nu["master_h"] = U(r, 10, 24)
    nu["serr"] = pick(r, [1.5, 1.6, 3.0])
    nu["others"] = bool(r.random() < 0.7)
    if r.random() < 0.28:
        nu["distract"] = pick(r, ["blue", "red", "yellow"], [0.5, 0.25, 0.25])
    nu["light"] = pick(
        r,
        [
            ["tubes"],
            ["tubes", "lamp"],
            ["lamp"],
            ["flash"],
            ["flash", "tubes"],
            ["window"],
            ["window", "tubes"],
        ],
        [0.24, 0.24, 0.08, 0.10, 0.10, 0.10, 0.14],
    )
    nu["kelvin"] = U(r, 3600, 6800)
    nu["lamp_k"] = pick(r, [2900, 3400, 4300, 6000])
    nu["env"] = U(r, 0.5, 1.4)
    nu["gain"] = 1.0
    nu["lamp_gain"] = U(r, 0.5, 1.5)
    nu["flash_gain"] = U(r, 0.6, 1.6)
    nu["busy"] = U(r, 0.5, 1.6)
    nu["lamp_size"] = U(r, 18, 55)
    nu["shirt"] = pick(r, [[0.03, 0.05, 0.12], [0.05, 0.05, 0.055], [0.2, 0.2, 0.2], [0.25, 0.1, 0.05]])
    if far:  # harder light
        nu["kelvin"] = U(r, 2700, 8200)
        if r.random() < 0.3:
            nu["lamp_gain"] *= 2.0
            nu["env"] *= 0.35
            nu["light"] = ["lamp"] if r.random() < 0.5 else ["lamp", "flash"]
    return nu


def hsv(h, s, v):
    k = (np.array([5, 3, 1]) + h * 6) % 6
    return np.clip(v - v * s * np.clip(np.minimum(k, 4 - k), 0, 1), 0.003, 0.95)


def any_rgb(r):
    """A colour of the surroundings: any, or close to a usual compound colour."""
    q = r.random()
    if q < 0.25:
        return hsv(U(r, 0.58, 0.70), U(r, 0.6, 0.98), U(r, 0.08, 0.5)).tolist()
    if q < 0.42:
        return hsv(U(r, -0.03, 0.06) % 1, U(r, 0.7, 0.98), U(r, 0.25, 0.7)).tolist()
    if q < 0.75:
        return hsv(r.random(), U(r, 0.3, 0.95), U(r, 0.04, 0.7)).tolist()
    return hsv(r.random(), U(r, 0, 0.2), U(r, 0.02, 0.75)).tolist()


def wide(r, cs, st, p, nu):
    """More variety for training sets: metal, compound, surroundings, convex faces."""
    q = r.random()
    if q < 0.30:  # dark, rough steel
        st["steel"] = True
        st["metal_rgb"] = (U(r, 0.30, 0.52) * np.exp(r.normal(0, 0.03, 3))).tolist()
        st["alpha_along"] = U(r, 0.15, 0.40)
        st["alpha_across"] = U(r, max(0.28, st["alpha_along"]), 0.45)
        st["grime"] = U(r, 0.1, 0.4)
    elif q < 0.45:
        st["alpha_along"] = U(r, 0.045, 0.08)
        st["alpha_across"] = U(r, 0.08, 0.16)
        st["line_h"] *= 0.4
        st["grime"] *= 0.5
    elif q < 0.55:
        st["alpha_along"] = U(r, 0.2, 0.45)
        st["alpha_across"] = U(r, 0.25, 0.45)
    if r.random() < 0.2:
        st["metal_rgb"] = np.clip(
            np.array(st["metal_rgb"]) * np.exp(r.normal(0, 0.06, 3)), 0.2, 0.95
        ).tolist()
    st["k"] = U(r, 0.05, 0.35)
    if cs["method"] == "transfer":
        st["k"] = U(r, 0.10, 0.35)
    if r.random() < 0.25:
        h = float(r.random())
        s_ = U(r, 0.75, 0.98)
        v = float(np.exp(U(r, np.log(0.06), np.log(0.6))))
        c = hsv(h, s_, v)
        st["hue"] = round(h, 3)
        st["comp_rgb"] = c.tolist()
        st["comp_rgb2"] = (c * U(r, 0.3, 0.6)).tolist()
        a = 1 - c / c.max()
        st["absorb"] = np.clip(a / max(a.max(), 1e-3), 0.06, 1).tolist()
    if r.random() < 0.5:
        nu["bench"] = "paint"
        nu["bench_rgb"] = any_rgb(r)
    if r.random() < 0.5:
        nu["rag_rgb"] = any_rgb(r)
    if r.random() < 0.5:
        nu["glove"] = "random"
        nu["glove_rgb"] = any_rgb(r)
        nu["glove_gloss"] = bool(r.random() < 0.5)
    q = r.random()
    if q < 0.22:
        nu["clutter"] = 0
        nu["curls"] = 0 if r.random() < 0.6 else nu["curls"]
    elif q < 0.42:
        nu["clutter"] = int(r.integers(12, 26))
        nu["curls"] = int(r.integers(4, 26))
    nu["clutter_rgb"] = [any_rgb(r) for _ in range(4)]
    if r.random() < 0.3:
        nu["distract"] = "random"
        nu["distract_rgb"] = any_rgb(r)
    if r.random() < 0.3:
        nu["pal"] = [tuple(any_rgb(r)) for _ in range(8)]
    if r.random() < 0.3:
        nu["chuck_rgb"] = (np.array([0.16, 0.155, 0.15]) * U(r, 0.3, 3.5)).tolist()
    if r.random() < 0.4:
        nu["shirt"] = any_rgb(r)
    p["res"] = 0.04
    p["ro"] = 0.1
    if cs.get("convex"):
        p["convex"] = True
        p["bevel"] = U(r, 0.12, 0.8)
        p["front"] = U(r, 0.55, 1.0)
        p["flat_front"] = bool(r.random() < 0.5)
        k = p["chord"] / p["R"]
        lim = U(r, 0.5, 1.15)
        if k > lim:
            p["R"] = p["chord"] / lim


def wide_post(r, q):
    q["ev"] = U(r, -1.5, 1.2)
    q["contrast"] = U(r, 0.1, 1.7)
    q["sat"] = U(r, 0.7, 1.5)
    q["sharp"] = U(r, 0.1, 1.8)
    q["quality"] = int(r.integers(66, 92))
    q["nr"] = U(r, 0.1, 0.95)
    q["awb"] = U(r, 0.2, 1.0)
    w = r.normal(0, 0.13, 2)
    q["wb"] = [float(np.exp(w[0])), 1.0, float(np.exp(-w[0] * 0.8 + 0.5 * w[1]))]
    q["vignette"] = U(r, 0, 0.6)
    q["soft"] = U(r, 0.3, 1.0) if r.random() < 0.8 else U(r, 1.0, 2.0)
    q["bloom"] = U(r, 0.002, 0.03)
    q["protect"] = U(r, 0.1, 0.85)


def sample_camera(r, jaw, cs, nu, W, H, cov, relax=False):
    f = jaw.f
    c0 = jaw.face_point(0.5, 0.5)
    A = f.length_mm * jaw.Wc
    far = cs.get("far")
    for attempt in range(60):
        th = U(r, 0, 50) if not cs.get("theta") else cs["theta"]
        if nu["scene"] == "chuck":
            az = r.normal(90, 28)
            th = max(th, 12.0)
        else:
            az = U(r, 0, 360)
        d3 = np.array(
            [np.sin(th * D2R) * np.cos(az * D2R), np.sin(th * D2R) * np.sin(az * D2R), np.cos(th * D2R)]
        )
        cv = cov * (0.93**attempt)
        eqs = [U(r, 24, 28), U(r, 48, 56)] if r.random() < 0.5 else [U(r, 48, 56), U(r, 24, 28)]
        eq = None
        for e in eqs:
            k = 43.267 / 2 / e
            tx, ty = k * W / np.hypot(W, H), k * H / np.hypot(W, H)
            d = np.sqrt(A * np.cos(th * D2R) / cv / (4 * tx * ty))
            if 80 <= d <= 420:
                eq = e
                break
        if eq is None:
            eq = eqs[0] if cv < 0.2 else max(eqs)
            k = 43.267 / 2 / eq
            tx, ty = k * W / np.hypot(W, H), k * H / np.hypot(W, H)
            d = float(np.clip(np.sqrt(A * np.cos(th * D2R) / cv / (4 * tx * ty)), 70, 450))
        o = c0 + d3 * d
        # roll: which way the tip points in the picture
        fwd = -d3
        tipv = np.array([0, 1, 0]) - fwd * fwd[1]
        if np.linalg.norm(tipv) < 0.2:
            tipv = np.array([0, 1, 0.0])
        tipv = norm(tipv)
        side = np.cross(fwd, tipv)
        roll = (
            U(r, 0, 360)
            if cs.get("train")
            else (cs["roll"] if "roll" in cs else float(r.choice([0, 90, 180, 270], p=[0.4, 0.2, 0.2, 0.2])))
            + (r.normal(0, 9) if r.random() < 0.82 else U(r, -45, 45))
        )
        up = np.cos(roll * D2R) * tipv + np.sin(roll * D2R) * side
        fill = np.sqrt(cv / 0.5)
        jit = (r.uniform(-1, 1, 2) * 0.42 * (1 - min(fill, 0.95))) * np.array([2 * tx * d, 2 * ty * d])
        cam = Camera(o, c0, up, eq, W, H)
        tgt = c0 + cam.r * jit[0] + cam.u * jit[1]
        cam = Camera(
            o,
            tgt,
            up,
            eq,
            W,
            H,
            fstop=U(r, 1.7, 2.2),
            focus=max((c0 - o) @ norm(tgt - o), 30) * (1 + r.normal(0, 0.015)),
            blur=U(r, 0.35, 1.0),
        )
        q = cam.project(
            jaw.face_point(np.array([0, 0.5, 1, 1, 1, 0.5, 0, 0]), np.array([0, 0, 0, 0.5, 1, 1, 1, 0.5]))
        )
        m = 0.015 * W
        if relax or (q.min() > m and (q[:, 0] < W - m).all() and (q[:, 1] < H - m).all()):
            return cam, th, cv
    return cam, th, cv


def visibility(scene, cam, W, H, shape):
    """Which pixels see the face: mask and uv, pinhole, W x H."""
    D = cam.rays(W, H).reshape(-1, 3).astype(np.float32)
    o = np.broadcast_to(cam.o.astype(np.float32), D.shape)
    ray = mi.Ray3f(
        mi.Point3f(*[mi.Float(np.ascontiguousarray(o[:, i])) for i in range(3)]),
        mi.Vector3f(*[mi.Float(np.ascontiguousarray(D[:, i])) for i in range(3)]),
    )
    si = scene.ray_intersect(ray)
    m = np.array(si.is_valid() & (si.shape == mi.ShapePtr(shape)))
    uv = np.stack([np.array(si.uv.x), np.array(si.uv.y)], -1)
    return m.reshape(H, W), uv.reshape(H, W, 2)


# ---------------------------------------------------------------- the phone's processing
def srgb(x):
    return np.where(x <= 0.0031308, 12.92 * x, 1.055 * np.power(np.maximum(x, 1e-8), 1 / 2.4) - 0.055)


def tone(x, con=1.0):
    y = srgb(np.clip(x / (1 + np.maximum(x - 0.6, 0) * 0.45), 0, None))
    y = np.clip(y, 0, 1)
    s = y * y * (3 - 2 * y)
    return np.clip(y * (1 - 0.45 * con) + s * 0.45 * con, 0, 1)


def phone(img, r, nu, cs, out_wh, fm=None):
    """Linear HDR upright -> uint8 upright."""
    x = np.maximum(np.nan_to_num(img), 0).astype(np.float32)
    H, W = x.shape[:2]
    if (W, H) != tuple(out_wh):
        x = np.maximum(cv2.resize(x, out_wh, interpolation=cv2.INTER_CUBIC), 0)
        W, H = out_wh
    s = W * H / 1.92e6
    px = np.sqrt(s)
    why = cs.get("why")
    L = x @ np.array([0.2126, 0.7152, 0.0722], np.float32)
    # metering: centre weighted, highlights damped
    yy, xx = np.mgrid[0:H, 0:W]
    cw = np.exp(-(((xx / W - 0.5) / 0.33) ** 2 + ((yy / H - 0.5) / 0.33) ** 2)).astype(np.float32)
    lm = np.exp((np.log(np.minimum(L, np.percentile(L, 97)) + 1e-4) * cw).sum() / cw.sum())
    mean = (np.minimum(L, np.percentile(L, 98)) * cw).sum() / cw.sum()
    ev = nu.get("ev", 0.0) + nu.get("meter", 0.0)
    g = 0.24 / (0.5 * lm + 0.5 * mean + 1e-6)
    hp = float(np.percentile(L[::3, ::3], 96)) * g
    if hp > 1.1:
        g *= (1.1 / hp) ** nu["protect"]  # the phone holds back for highlights
    x *= g * 2**ev
    x *= np.array(nu["wb"], np.float32) / np.array(nu["illum"], np.float32) ** nu["awb"]
    if why == "glare":  # the lamp's mirror image and its veil cover most of the face
        m = cv2.resize(fm.astype(np.float32), (W, H))
        ys, xs = np.nonzero(m > 0.5)
        c = (xs.mean() + r.normal(0, 0.08) * xs.std(), ys.mean() + r.normal(0, 0.08) * ys.std())
        a = r.uniform(0, 3.14)
        X, Y = (xx - c[0]) * np.cos(a) + (yy - c[1]) * np.sin(a), -(xx - c[0]) * np.sin(a) + (
            yy - c[1]
        ) * np.cos(a)
        q = np.sqrt((X / xs.std() / 2.0) ** 2 + (Y / ys.std() / 1.6) ** 2).astype(np.float32)
        fl = np.exp(-((q / 1.0) ** 4)) * (
            0.35 + 0.65 * cv2.GaussianBlur(m, (0, 0), 6 * px)
        ) * 2.2 + 0.22 * np.exp(-((q / 2.5) ** 2))
        x = x * (1 + 1.5 * np.exp(-((q / 1.0) ** 4)))[..., None] + fl[..., None].astype(
            np.float32
        ) * np.array([1, 0.97, 0.9], np.float32)
    # bloom of strong lights
    hi = np.minimum(np.maximum(x - 1.2, 0), 30)
    if hi.max() > 0:
        sm = cv2.resize(hi, (W // 8, H // 8), interpolation=cv2.INTER_AREA)
        bl = cv2.GaussianBlur(sm, (0, 0), 4 * px) * 0.02 + cv2.GaussianBlur(sm, (0, 0), 16 * px) * nu.get(
            "bloom", 0.008
        )
        x += cv2.resize(bl, (W, H), interpolation=cv2.INTER_LINEAR)
    if nu.get("motion", 0) > 0:
        n = int(max(nu["motion"] * px, 2))
        k = np.zeros((2 * n + 1, 2 * n + 1), np.float32)
        a = nu["motion_dir"]
        pts = np.stack(
            [
                n
                + n * 0.5 * np.linspace(-1, 1, 80) * np.cos(a)
                + nu.get("motion_bow", 0) * n * np.linspace(-1, 1, 80) ** 2,
                n + n * 0.5 * np.linspace(-1, 1, 80) * np.sin(a),
            ],
            1,
        )
        for p in pts:
            k[int(np.clip(round(p[1]), 0, 2 * n)), int(np.clip(round(p[0]), 0, 2 * n))] += 1
        x = cv2.filter2D(np.minimum(x, 8), -1, k / k.sum(), borderType=cv2.BORDER_REFLECT)
    x = cv2.GaussianBlur(x, (0, 0), nu.get("soft", 0.55) * px)
    v = nu["vignette"]
    rr = ((xx / W - 0.5) ** 2 + (yy / H - 0.5) ** 2) / 0.5
    x *= (1 - v * rr)[..., None].astype(np.float32)
    a, b = nu["iso"] * 0.0011, nu["iso"] * 0.00035
    n = r.standard_normal(x.shape).astype(np.float32)
    n = 0.75 * n + 0.8 * cv2.GaussianBlur(n, (0, 0), 0.8)
    x = x + n * np.sqrt(a * np.clip(x, 0, 1.2) + b * b) * np.array([1.15, 0.85, 1.35], np.float32)
    x = np.clip(x, 0, None)
    y = tone(x, nu["contrast"]).astype(np.float32)
    # phone noise reduction: chroma smoothing, light edge-preserving luma smoothing
    yc = cv2.cvtColor(y, cv2.COLOR_RGB2YCrCb)
    for i in (1, 2):
        yc[..., i] = cv2.bilateralFilter(cv2.GaussianBlur(yc[..., i], (0, 0), 1.1 * px), 5, 0.08, 2.5)
    if nu["nr"] > 0:
        yc[..., 0] = (1 - nu["nr"]) * yc[..., 0] + nu["nr"] * cv2.bilateralFilter(
            yc[..., 0], 5, 0.06 + 0.03 * nu["iso"], 2.0
        )
    # sharpening with halos
    bl = cv2.GaussianBlur(yc[..., 0], (0, 0), nu["sharp_r"] * px)
    yc[..., 0] += nu["sharp"] * np.clip(yc[..., 0] - bl, -0.12, 0.12)
    y = np.clip(cv2.cvtColor(yc, cv2.COLOR_YCrCb2RGB), 0, 1)
    g = y.mean(2, keepdims=True)
    y = np.clip(g + (y - g) * nu["sat"], 0, 1)
    return (y * 255 + 0.5).astype(np.uint8)


def post_params(r, far):
    q = {
        "ev": float(np.clip(r.normal(0, 0.42), -1.3, 1.0)),
        "vignette": U(r, 0.1, 0.55),
        "iso": (
            float(np.exp(U(r, np.log(0.4), np.log(6))))
            if not far
            else float(np.exp(U(r, np.log(0.4), np.log(11))))
        ),
        "contrast": U(r, 0.4, 1.3),
        "nr": U(r, 0.2, 0.9),
        "sharp": U(r, 0.3, 1.5),
        "sharp_r": U(r, 0.9, 2.2),
        "sat": U(r, 0.9, 1.3),
        "soft": U(r, 0.45, 0.8),
        "quality": int(r.integers(70, 96)),
        "bloom": U(r, 0.003, 0.02),
        "protect": U(r, 0.2, 0.75),
        "awb": U(r, 0.55, 1.0) if not far else U(r, 0.25, 1.0),
    }
    w = r.normal(0, 0.07 if not far else 0.12, 2)
    q["wb"] = [float(np.exp(w[0])), 1.0, float(np.exp(-w[0] * 0.8 + 0.3 * w[1]))]
    if r.random() < 0.2:
        q["motion"] = U(r, 2, 5)
        q["motion_dir"] = U(r, 0, 3.14)
    return q


def encode(img, r, nu, cs, cam, path):
    """Upright uint8 -> stored JPEG with EXIF orientation."""
    o = cs["orientation"]
    st = {1: img, 3: np.rot90(img, 2), 6: np.rot90(img, 1), 8: np.rot90(img, -1)}[
        o
    ]  # 6: shown after 90 deg clockwise
    t = datetime.datetime.fromisoformat(cs["time"]).strftime("%Y:%m:%d %H:%M:%S")
    fl = cam.eq / 7.0 * (1 if cam.eq < 40 else 0.5)
    ex = {
        "0th": {
            piexif.ImageIFD.Make: b"Example",
            piexif.ImageIFD.Model: b"Phone",
            piexif.ImageIFD.Orientation: o,
            piexif.ImageIFD.DateTime: t.encode(),
            piexif.ImageIFD.XResolution: (72, 1),
            piexif.ImageIFD.YResolution: (72, 1),
        },
        "Exif": {
            piexif.ExifIFD.DateTimeOriginal: t.encode(),
            piexif.ExifIFD.FocalLength: (int(round(fl * 100)), 100),
            piexif.ExifIFD.FocalLengthIn35mmFilm: int(round(cam.eq)),
            piexif.ExifIFD.FNumber: (18, 10),
        },
    }
    q = nu["quality"]
    lim = 75_000 if cs.get("train") else 500_000 if max(img.shape) < 2500 else 1_900_000
    im = Image.fromarray(np.ascontiguousarray(st))
    while True:
        b = io.BytesIO()
        im.save(b, "JPEG", quality=q, subsampling=2, exif=piexif.dump(ex))
        if b.tell() <= lim or q <= 70:
            break
        q -= 5
    open(path, "wb").write(b.getvalue())
    return q


def bands(tr):
    comp = tr["compound"]
    nx = comp.shape[1]
    row = comp[:, int(0.1 * nx) : int(0.9 * nx)].mean(1) > 0.5
    out = []
    i = 0
    n = len(row)
    while i < n:
        if row[i]:
            j = i
            while j < n and row[j]:
                j += 1
            if j - i >= 2:
                out.append([round(i / n, 4), round(j / n, 4)])
            i = j
        else:
            i += 1
    return out


def render_case(cs, outdir, spp=160, scale=1.0, denoise=None, quick=False):
    r = np.random.default_rng(cs["seed"])
    rs = np.random.default_rng(cs.get("style_seed", cs["seed"] + 7))
    t_0 = time.time()
    far = bool(cs.get("far"))
    colour = cs["colour"]
    st = style(rs, far, colour)
    p = geometry(rs, far, cs["face"])
    nu = nuisances(rs, far)
    if cs.get("train"):
        wide(np.random.default_rng(cs["seed"] + 51), cs, st, p, nu)
    st.update(cs.get("style", {}))
    p.update(cs.get("geom", {}))
    nu.update(cs.get("nu", {}))
    post = post_params(r, far)
    if cs.get("train"):
        wide_post(np.random.default_rng(cs["seed"] + 53), post)
    nu.update({k: v for k, v in post.items() if k not in cs.get("nu", {})})
    lk = [nu["kelvin"]] if nu["light"] != ["lamp"] else []
    if "lamp" in nu["light"]:
        lk.append(nu["lamp_k"])
    if "flash" in nu["light"]:
        lk.append(5600)
    nu["illum"] = np.mean([kelvin(k) for k in lk], 0).tolist()
    if "style_seed" in cs:  # same workshop, same phone; small changes from photo to photo
        wb = post_params(np.random.default_rng(cs["style_seed"] + 3), far)["wb"]
        nu["awb"] = post_params(np.random.default_rng(cs["style_seed"] + 3), far)["awb"]
        nu["wb"] = [float(a * b) for a, b in zip(wb, np.exp(r.normal(0, 0.015, 3)))]
        nu["clutter"] = int(r.integers(2, 11))
        nu["curls"] = int(r.integers(0, 10))
    why = cs.get("why")
    smears = []
    if cs["method"] == "seep" or r.random() < 0.3:
        if r.random() < 0.22:
            smears.append("wipe")
        if r.random() < 0.20:
            smears.append("thumb")
        if cs["method"] == "seep" and r.random() < 0.06:
            smears.append("drip")
    p["smears"] = cs.get("smears", smears)
    phim = np.arcsin(p["chord"] / 2 / p["R"])
    arc = 2 * p["R"] * phim
    fk = dict(cs["face"])
    fk.update(
        length_mm=round(p["length"], 2),
        width_mm=round(arc, 2),
        bore_radius_mm=round(p["R"], 2),
        method=cs["method"],
        seam=cs.get("seam"),
        seed=cs["seed"] % 100000,
    )
    p["chord"] = float(2 * fk["bore_radius_mm"] * np.sin(fk["width_mm"] / 2 / fk["bore_radius_mm"]))
    if p["block_w"] < p["chord"]:
        p["block_w"] = p["chord"]
    if p.get("convex"):
        sag = fk["bore_radius_mm"] - np.sqrt(fk["bore_radius_mm"] ** 2 - p["chord"] ** 2 / 4)
        if nu["scene"] == "chuck":
            p["depth"] = min(p["depth"], max(fk["bore_radius_mm"] - 0.3 * p["block_w"] - 2, 12.0))
        p["depth"] = max(p["depth"], sag + (p["block_w"] - p["chord"]) / 2 * 1.6 + 7)
    if fk.get("chip"):
        fk["chip"] = tuple(fk["chip"])
    F = gf.Face(**fk)
    tr = gf.truth(F)
    if why == "clean":
        p["unpainted"] = True
        p["smears"] = []
        st["residue"] = 0.0
    if why == "smeared":
        p["smears"] = ["all"]
    jaw = Jaw(
        np.random.default_rng(cs["seed"] + 11),
        p,
        st,
        F,
        None if why == "clean" else tr["film_um"],
        cs["name"],
    )
    W, H = (1600, 1200) if cs["orientation"] in (1, 3) else (1200, 1600)
    if cs.get("portrait"):
        W, H = H, W
    cov = cs["coverage"]
    scene = None
    for attempt in range(6):
        cam, th, cv = sample_camera(r, jaw, cs, nu, W, H, cov)
        if why == "out":  # the face mostly leaves the frame
            dist = np.linalg.norm(cam.o - jaw.face_point(0.5, 0.5))
            frame = np.float32([[0, 0], [W, 0], [W, H], [0, H]])
            c2 = cam
            for _ in range(200):
                a = U(r, 0, 6.28)
                sh = np.array([np.cos(a) * cam.tx, np.sin(a) * cam.ty]) * U(r, 0.9, 1.9) * dist
                c2 = Camera(
                    cam.o,
                    jaw.face_point(0.5, 0.5) + cam.r * sh[0] + cam.u * sh[1],
                    cam.u,
                    cam.eq,
                    W,
                    H,
                    1.9,
                    cam.focus,
                    0.6,
                )
                q = c2.project(jaw.corners()).astype(np.float32)
                ins = cv2.intersectConvexConvex(q, frame)[0] / max(cv2.contourArea(q), 1)
                if 0.10 < ins < 0.27:
                    break
            cam = c2
        sur, up = surroundings(np.random.default_rng(cs["seed"] + 21), jaw, nu["scene"], nu, st)
        lt = lights(
            np.random.default_rng(cs.get("style_seed", cs["seed"]) + 31), jaw, nu, up, cam.o, (cam.r, cam.u)
        )
        sc = {"type": "scene", "integrator": {"type": "path", "max_depth": 6, "rr_depth": 5}}
        if why != "nojaw":
            sc.update(jaw.shapes)
        sc.update(sur)
        sc.update(lt)
        if why == "covered":
            sz = max(jaw.Wb, jaw.T + jaw.H) * 1.9
            rc = np.random.default_rng(cs["seed"] + 5)
            hx = jaw.Wb / 2
            cx, cy = U(rc, -8, 8), (jaw.T - jaw.H) / 2 + U(rc, -6, 10)
            dr_ = (
                lambda X, Y: -jaw.D
                * 0.9
                * smooth(np.maximum(np.abs(X) - hx, np.maximum(Y - jaw.T, -jaw.H - Y)), 1.5, 30)
            )
            sc["cover"] = rag(rc, sz, jaw.front + 1.5 + p["nose"], nu["rag_rgb"], 6.0, (cx, cy), dr_)
        if nu.get("face_curl"):
            pf = jaw.face_point(U(r, 0.2, 0.8), U(r, 0.2, 0.8))
            sc["fc"] = world.curl(
                r,
                pf + np.array([0, 0, 0.2]),
                {
                    "type": "twosided",
                    "b": {
                        "type": "roughconductor",
                        "material": "none",
                        "specular_reflectance": {"type": "rgb", "value": st["metal_rgb"]},
                        "alpha": 0.15,
                    },
                },
                0.9,
                2,
                0.7,
            )
        scene = mi.load_dict(sc)
        vis = 0
        fm = np.zeros((H // 2, W // 2), bool)
        uv = np.zeros((H // 2, W // 2, 2))
        if why != "nojaw":
            fm, uv = visibility(scene, cam, W // 2, H // 2, jaw.shapes["face"])
            q = cam.project(
                jaw.face_point(
                    np.linspace(0, 1, 9)[:, None] + np.zeros((1, 9)),
                    np.linspace(0, 1, 9)[None] + np.zeros((9, 1)),
                ).reshape(-1, 3)
            )
            hull = cv2.convexHull(q.astype(np.float32))
            m0 = np.zeros((H // 2, W // 2), np.uint8)
            cv2.fillConvexPoly(m0, (hull / 2).astype(np.int32), 1)
            vis = fm.sum() / max(m0.sum(), 1)
        if why or vis > 0.9:
            break
    big = cs.get("big")
    sf = scale * (1.5 if big else 1.0)
    w, h = int(W * sf), int(H * sf)
    seed0 = cs["seed"] % 1000003
    t_b = time.time() - t_0
    t_r = time.time()
    img = np.zeros((h, w, 3), np.float32)
    cnt = np.zeros((h, w, 1), np.float32)
    n = 0
    while n < spp:
        k = min(32 if not quick else 16, spp - n)
        a = np.array(
            mi.render(scene, sensor=mi.load_dict(cam.sensor(w, h, k)), spp=k, seed=seed0 + n), np.float32
        )
        ok = np.isfinite(a).all(2, keepdims=True)
        img += np.where(ok, np.minimum(np.nan_to_num(a), 60), 0) * k
        cnt += ok * k
        n += k
    hole = cnt[..., 0] == 0
    img /= np.maximum(cnt, 1)
    if hole.any():
        img = np.where(hole[..., None], cv2.blur(img, (5, 5)), img)
    t_r = time.time() - t_r
    if why == "motion":  # the shake runs roughly along the face, over most of its length
        q = cam.project(jaw.corners())
        ax = (q[0] + q[1]) / 2 - (q[2] + q[3]) / 2
        nu["motion"] = float(np.hypot(*ax)) * U(r, 0.75, 0.95)
        nu["motion_dir"] = float(np.arctan2(ax[1], ax[0])) + U(r, -0.35, 0.35)
        nu["motion_bow"] = U(r, -0.15, 0.15)
        nu["soft"] = U(r, 3, 5)
    if why == "dark":
        nu["ev"] = U(r, -9.2, -7.6)
        nu["iso"] = U(r, 5, 10)
    if why == "blown":
        nu["ev"] = U(r, 3.8, 5.2)
    if why == "glare":
        nu["ev"] = max(nu["ev"], 0.6)
        nu["bloom"] = 0.05
    out_wh = (W, H)
    if big:
        out_wh = (4000, 3000) if W > H else (3000, 4000)
    elif scale != 1:
        out_wh = (w, h)
    u8 = phone(img, r, nu, cs, out_wh, fm)
    name = cs["name"]
    base = f"{outdir}/{name}"
    q = encode(u8, r, nu, cs, cam, base + ".jpg")
    # ---- truth
    ow, oh = out_wh
    k = ow / W
    T = jaw.face_film
    iv = np.clip((uv[..., 1] * T.shape[0]).astype(int), 0, T.shape[0] - 1)
    iu = np.clip((uv[..., 0] * T.shape[1]).astype(int), 0, T.shape[1] - 1)
    cm = fm & (T[iv, iu] > 2.0) & (why != "clean")
    half = (ow // 2, oh // 2)
    up_ = lambda m: Image.fromarray(m.astype(np.uint8) * 255).resize(half, Image.NEAREST).convert("1")
    up_(fm).save(base + ".face.png", optimize=True)
    up_(cm).save(base + ".compound.png", optimize=True)
    C = cam.project(jaw.corners()) * k
    tipv = (C[0] + C[1]) / 2 - (C[2] + C[3]) / 2
    td = (
        ("right" if tipv[0] > 0 else "left")
        if abs(tipv[0]) > abs(tipv[1])
        else ("down" if tipv[1] > 0 else "up")
    )
    edge = lambda v: [
        [round(float(a), 1) for a in c]
        for c in cam.project(jaw.face_point(np.linspace(0, 1, 9), np.full(9, float(v)))) * k
    ]
    nj = why == "nojaw"
    readable = why is None
    words = (
        [nu["scene"]]
        + nu["light"]
        + ["steel" if st["steel"] else "aluminium", st["texture"]]
        + [f"smear-{s}" for s in p["smears"]]
    )
    words += [
        w_
        for w_, c_ in [
            ("rust", st["rust"] > 0),
            ("oil", st["oil"] > 0),
            ("residue", st["residue"] > 0),
            ("motion-blur", nu.get("motion", 0) > 1),
            ("noisy", nu["iso"] > 3.5),
            ("underexposed", nu["ev"] < -0.6),
            ("overexposed", nu["ev"] > 0.6),
            ("oblique", th > 35),
            ("face-curl", bool(nu.get("face_curl"))),
            ("stain", st["stain"] > 0.3),
            ("no-shoulder", p["below"] < 1),
            ("far-range", far),
            ("large-picture", bool(big)),
        ]
        if c_
    ]
    if p.get("convex"):
        words.append("convex")
    if nu.get("distract"):
        words.append("distractor-" + nu["distract"])
    if nu["scene"] == "hand":
        words.append("glove-" + nu["glove"])
    pp = lambda a: [round(float(v), 4) for v in np.asarray(a).reshape(64, -1).mean(1)]
    none = why in ("nojaw",)
    J = dict(
        photo=name + ".jpg",
        set=cs["set"],
        grip=None if none else ("id" if p.get("convex") else "od"),
        tint_hue=st.get("hue"),
        method=cs["method"],
        seam=cs.get("seam"),
        compound_colour="other" if st.get("hue") is not None else colour,
        readable=readable,
        why_unreadable=cs.get("why_text"),
        upright_size=[ow, oh],
        exif_orientation=cs["orientation"],
        face_corners_px=None if none else [[round(float(a), 1) for a in c] for c in C],
        tip_direction=None if none else td,
        face_tip_edge_px=None if none else edge(0),
        face_base_edge_px=None if none else edge(1),
        face_pixels_fraction=round(float(fm.mean()), 4),
        visible_fraction=None if none else round(float(min(vis, 1)), 3),
        view_angle_deg=round(float(th), 1),
        focal_35mm=round(cam.eq, 1),
        length_mm=None if none else F.length_mm,
        width_mm=None if none else round(p["chord"], 2),
        arc_width_mm=None if none else F.width_mm,
        bore_radius_mm=None if none else F.bore_radius_mm,
    )
    nf = none or why == "clean"
    J.update(
        taper_error_um=None if nf else round(F.taper_error_um, 3),
        closure_um=None if nf else round(F.closure_um, 3),
        threshold_um=None if nf else round(F.threshold_um, 3),
        reach_mm=None if nf else round(F.reach_mm, 2),
        radius_mismatch_um=None if nf else F.radius_mismatch_um,
        side_tilt_um=None if nf else F.side_tilt_um,
        mid_bow_um=None if nf else F.mid_bow_um,
        chip=None if nf else (list(F.chip) if F.chip else None),
        pattern=None if nf else tr["pattern"],
        borderline=None if nf else tr["borderline"],
        thirds=None if nf else [round(v, 4) for v in tr["thirds"]],
        contact_profile=None if nf else pp(tr["contact_profile"]),
        clean_profile=None if nf else pp(tr["clean_profile"]),
        band=None if nf else bands(tr),
        nuisances=words,
        jaw_set=cs.get("jaw_set"),
        check=cs.get("check"),
        jaw=cs.get("jaw"),
        taper_cut_um=cs.get("taper_cut_um"),
        taper_needed_um=cs.get("taper_needed_um"),
        stamped_digit=p["digit"] or None,
        time=cs["time"],
        jpeg_quality=q,
    )
    J["case"] = cs["kind"]
    json.dump(J, open(base + ".json", "w"), indent=1)
    return J, (t_b, t_r, time.time() - t_0 - t_b - t_r)
