"""Scenes: one bored soft jaw, its surfaces, surroundings, lights and camera, built for the mitsuba path tracer.

Jaw axes (mm): +Y towards the TIP, +Z out of the gripping face (towards the workpiece axis), +X to the right when
one looks at the face with the tip up. Face: x = R sin(phi), z = R (1 - cos phi), 0 <= y <= L.
"""

import numpy as np, cv2
import mitsuba as mi
import drjit as dr
import gapfield as gf

D2R = np.pi / 180


# ---------------------------------------------------------------- noise
def noise(rng, shape, cell, octaves=1, gain=0.5):
    """Smooth noise, about N(0,1); cell = feature size in pixels (scalar or (rows, cols))."""
    cy, cx = (cell, cell) if np.isscalar(cell) else cell
    out = np.zeros(shape, np.float32)
    amp = 1.0
    for _ in range(octaves):
        gy, gx = max(int(shape[0] / max(cy, 1)) + 3, 4), max(int(shape[1] / max(cx, 1)) + 3, 4)
        g = rng.standard_normal((min(gy, shape[0]), min(gx, shape[1]))).astype(np.float32)
        out += amp * cv2.resize(g, (shape[1], shape[0]), interpolation=cv2.INTER_CUBIC)
        amp *= gain
        cy, cx = cy / 2, cx / 2
    return out / (out.std() + 1e-6)


def smooth(x, a, b):
    t = np.clip((x - a) / (b - a + 1e-9), 0, 1)
    return t * t * (3 - 2 * t)


# ---------------------------------------------------------------- mitsuba helpers
def tex(a):
    a = np.ascontiguousarray(a, dtype=np.float32)
    if a.ndim == 2:
        a = a[..., None]
    return {
        "type": "bitmap",
        "data": mi.TensorXf(a),
        "raw": True,
        "filter_type": "bilinear",
        "wrap_mode": "mirror",
    }


def rgb(c):
    return {"type": "rgb", "value": [float(v) for v in c]}


def mesh(P, UV, bsdf, name="m"):
    """Grid mesh (n, m, 3) with smooth normals."""
    n, m = P.shape[:2]
    di = np.gradient(P, axis=0)
    dj = np.gradient(P, axis=1)
    N = np.cross(di, dj)
    N /= np.linalg.norm(N, axis=2, keepdims=True) + 1e-12
    i = np.arange((n - 1) * (m - 1))
    r, c = i // (m - 1), i % (m - 1)
    a, b, d, e = r * m + c, (r + 1) * m + c, (r + 1) * m + c + 1, r * m + c + 1
    F = np.concatenate([np.stack([a, b, d], 1), np.stack([a, d, e], 1)])
    return trimesh(P.reshape(-1, 3), F, UV.reshape(-1, 2), N.reshape(-1, 3), bsdf, name)


def trimesh(V, F, UV, N, bsdf, name="m"):
    props = mi.Properties()
    props["mesh_bsdf"] = mi.load_dict(bsdf) if isinstance(bsdf, dict) else bsdf
    me = mi.Mesh(name, len(V), len(F), has_vertex_normals=True, has_vertex_texcoords=True, props=props)
    mp = mi.traverse(me)
    mp["vertex_positions"] = np.ascontiguousarray(V, np.float32).ravel()
    mp["vertex_normals"] = np.ascontiguousarray(N, np.float32).ravel()
    mp["vertex_texcoords"] = np.ascontiguousarray(UV, np.float32).ravel()
    mp["faces"] = np.ascontiguousarray(F, np.uint32).ravel()
    mp.update()
    return me


def box(lo, hi, bsdf):
    lo, hi = np.array(lo, float), np.array(hi, float)
    c, h = (lo + hi) / 2, (hi - lo) / 2
    return {"type": "cube", "to_world": mi.ScalarTransform4f().translate(list(c)).scale(list(h)), "b": bsdf}


# ---------------------------------------------------------------- surfaces
def metal_surface(
    rng, st, size_mm, res, film=None, lines=None, rough=1.0, grime=1.0, extra_h=None, dark=None, thin=None
):
    """BSDF for a metal patch of size (h, w) mm sampled at res mm; film = compound um on that grid.
    lines: 'u' turned lines along u, 'v' along v, None isotropic. thin = nuisance smear (um-like, light)."""
    H, W = max(int(size_mm[0] / res), 24), max(int(size_mm[1] / res), 24)
    mm = lambda v: max(v / res, 1.0)
    sh = (H, W)
    base = np.array(st["metal_rgb"], np.float32)
    h = np.zeros(sh, np.float32)  # height, mm
    if lines is not None:
        f = st["feed"]
        n = H if lines == "u" else W
        y = np.arange(n) * res
        ph = y / f + 0.06 * np.cumsum(rng.standard_normal(n)) * np.sqrt(res / f) + 0.3 * np.sin(y / 3.1)
        sc = (np.mod(ph, 1) - 0.5) ** 2 * 4
        amp = st["line_h"] * (1 + 0.35 * noise(rng, (n, 2), (mm(0.5), 2))[:, 0])
        prof = sc * amp
        prof = (
            prof
            + st["line_h"]
            * 0.5
            * cv2.GaussianBlur(rng.standard_normal((n, 1)).astype(np.float32), (1, 0 * 2 + 5), 1.0)[:, 0]
        )
        # chatter / feed marks of the tool
        prof = prof + st.get("chatter", 0) * np.sin(2 * np.pi * y / 1.7 + 2)
        h += prof[:, None] if lines == "u" else prof[None, :]
        # lines are not perfectly constant along their run
        cell = (1.5, mm(6)) if lines == "u" else (mm(6), 1.5)
        h += 0.25 * st["line_h"] * noise(rng, sh, cell)
        au, av = st["alpha_along"], st["alpha_across"]
        if lines == "v":
            au, av = av, au
    else:
        h += 0.0018 * st.get("bead", 1.0) * noise(rng, sh, mm(0.12), 2)
        au = av = 0.5 * (st["alpha_along"] + st["alpha_across"])
    h += 0.004 * noise(rng, sh, mm(5), 2) * st.get("wave", 1.0)
    A = np.ones(sh, np.float32)
    var = 1 + 0.12 * noise(rng, sh, mm(7), 3) + 0.05 * noise(rng, sh, mm(0.3))
    # scratches
    nsc = int(st["scratches"] * size_mm[0] * size_mm[1] / 500 * rng.uniform(0.5, 1.5))
    scr = np.zeros(sh, np.float32)
    for _ in range(nsc):
        L = rng.exponential(5) / res + 2
        a = rng.uniform(0, np.pi)
        p = rng.uniform(0, 1, 2) * (W, H)
        q = p + L * np.array([np.cos(a), np.sin(a)])
        mid = (p + q) / 2 + rng.normal(0, 0.08 * L, 2)
        tt = np.linspace(0, 1, 12)[:, None]
        pts = p * (1 - tt) ** 2 + 2 * mid * tt * (1 - tt) + q * tt**2
        cv2.polylines(
            scr,
            [(pts * 16).astype(np.int32)],
            False,
            float(rng.uniform(0.2, 0.9)),
            1 if rng.random() < 0.9 else 2,
            cv2.LINE_AA,
            4,
        )
    h -= 0.003 * scr
    # nicks: small soft dents
    nk = np.zeros(sh, np.float32)
    for _ in range(int(rng.poisson(st["scratches"] * size_mm[0] * size_mm[1] / 1500))):
        a = mm(rng.uniform(0.05, 0.22))
        cv2.ellipse(
            nk,
            (int(rng.uniform(0, W)), int(rng.uniform(0, H))),
            (int(a) + 1, int(a * rng.uniform(0.3, 1)) + 1),
            float(rng.uniform(0, 180)),
            0,
            360,
            float(rng.uniform(0.3, 1)),
            -1,
            cv2.LINE_AA,
        )
    h -= 0.02 * cv2.GaussianBlur(nk, (0, 0), max(0.06 / res, 0.8)) * (res / 0.03) ** 0.5
    if extra_h is not None:
        h += cv2.resize(extra_h.astype(np.float32), (W, H), interpolation=cv2.INTER_LINEAR)
    # grime, stains, rust
    gw = st["grime"] * grime * (0.5 + 0.5 * np.clip(0.6 + 0.5 * noise(rng, sh, mm(6), 4), 0, 2))
    gcol = np.ones(sh + (3,), np.float32) * np.array(st["grime_rgb"], np.float32)
    stain = smooth(noise(rng, sh, mm(9), 6, 0.65), 0.6, 2.6) * st["stain"]
    gw = gw + 0.45 * stain
    gcol = gcol * (1 - 0.5 * stain[..., None])
    if st["rust"] > 0:
        r = smooth(noise(rng, sh, mm(1.2), 4), 2.05 - st["rust"] * 0.5, 2.5 - st["rust"] * 0.5) * smooth(
            noise(rng, sh, mm(14)), -0.2, 0.8
        )
        gw = gw * (1 - r) + 0.9 * r
        gcol = (
            gcol * (1 - r[..., None])
            + r[..., None]
            * np.array([0.22, 0.075, 0.025])
            * np.clip(1 + 0.3 * noise(rng, sh, mm(0.3)), 0.3, 2)[..., None]
        )
        h += 0.01 * r
    if dark is not None:
        dk = cv2.resize(dark.astype(np.float32), (W, H))
        gw = gw * (1 - dk) + 0.85 * dk
        gcol = gcol * (1 - 0.85 * dk[..., None])
    # oil: patches that are smoother and darker; droplets as bumps
    al_u = au * rough * var * (1 + 0.6 * scr)
    al_v = av * rough * var * (1 + 0.3 * scr)
    if st["oil"] > 0:
        o = smooth(noise(rng, sh, (mm(13), mm(9)), 5, 0.6), 0.9 - st["oil"], 2.6 - st["oil"])
        al_u *= 1 - 0.30 * o
        al_v *= 1 - 0.25 * o
        gw *= 1 - 0.3 * o
        A *= 1 - 0.07 * o
        h *= 1 - 0.4 * o
        nd = rng.poisson(st["oil"] * size_mm[0] * size_mm[1] / 70) if st.get("drops") else 0
        for _ in range(nd):
            rr = mm(min(0.1 + rng.exponential(0.14), 0.6))
            cx, cy = rng.uniform(0, W), rng.uniform(0, H)
            x0, x1, y0, y1 = (
                int(max(cx - rr, 0)),
                int(min(cx + rr + 1, W)),
                int(max(cy - rr, 0)),
                int(min(cy + rr + 1, H)),
            )
            if x1 <= x0 or y1 <= y0:
                continue
            yy, xx = np.mgrid[y0:y1, x0:x1]
            d = np.hypot(xx - cx, yy - cy) / rr
            m = d < 1
            h[y0:y1, x0:x1][m] = (0.25 * rr * res * (1 - d**2))[m]
            al_u[y0:y1, x0:x1][m] = 0.06
            al_v[y0:y1, x0:x1][m] = 0.06
    t = np.zeros(sh, np.float32)
    if film is not None:
        t = (
            film
            if film.shape == sh
            else cv2.resize(film.astype(np.float32), (W, H), interpolation=cv2.INTER_LINEAR)
        )
        t = np.maximum(t, 0)
    # faint old residue of the compound
    if st["residue"] > 0:
        rs = smooth(noise(rng, sh, mm(4), 4), 1.1, 2.2) * st["residue"]
        t = t + np.where(t < 0.4, rs * 0.8, 0)
    if thin is not None:
        t = np.maximum(t, cv2.resize(thin.astype(np.float32), (W, H)))
    grain = np.clip(
        1
        + st["grain"] * (0.6 * noise(rng, sh, mm(0.10)) + 0.6 * noise(rng, sh, mm(0.35), 2))
        + 0.16 * noise(rng, sh, mm(2.5), 2),
        0.12,
        3,
    )
    te = t * grain
    w = (1 - np.exp(-st["k"] * te)) * st["max_op"]
    # pinholes and flakes in the dried film
    w *= 1 - st["flake"] * smooth(noise(rng, sh, mm(0.25), 2), 1.7, 2.2)
    ab = np.array(st["absorb"], np.float32)
    tint = (
        base
        * np.clip(A[..., None] * (1 + 0.03 * noise(rng, sh, mm(4), 2)[..., None]), 0, 1.08)
        * np.exp(-ab * st["k"] * 1.3 * te[..., None])
    )
    deep = np.exp(-0.02 * te)[..., None]
    col = (
        np.array(st["comp_rgb"], np.float32)
        * (0.55 + 0.45 * deep)
        * np.clip(1 + 0.10 * noise(rng, sh, mm(1.5), 3)[..., None], 0.5, 1.6)
    )
    col = col + np.array(st["comp_rgb2"], np.float32) * np.exp(-te / 7.0)[..., None] * 0.6
    h = h * (1 - 0.7 * np.clip(te / 30, 0, 1)) + 0.0007 * np.clip(
        te, 0, 60
    )  # the film fills the lines and stands proud
    q = lambda a: np.clip(a, 0.045, 0.9)
    metal = {
        "type": "roughconductor",
        "material": "none",
        "specular_reflectance": tex(np.clip(tint, 0, 1)),
        "alpha_u": tex(q(al_u)),
        "alpha_v": tex(q(al_v)),
        "distribution": "ggx",
    }
    dirty = {
        "type": "blendbsdf",
        "weight": tex(np.clip(gw, 0, 1)),
        "m": metal,
        "n": {
            "type": "diffuse",
            "reflectance": tex(np.clip(gcol * np.exp(-ab * st["k"] * te[..., None]), 0, 1)),
        },
    }
    comp = {
        "type": "roughplastic",
        "diffuse_reflectance": tex(np.clip(col, 0.002, 0.95)),
        "alpha": st["comp_alpha"],
        "int_ior": 1.45,
    }
    return {
        "type": "twosided",
        "x": {
            "type": "bumpmap",
            "arbitrary": tex(h),
            "scale": 1.0,
            "z": {"type": "blendbsdf", "weight": tex(np.clip(w, 0, 1)), "a": dirty, "b": comp},
        },
    }


def fine_film(rng, f, t, res, arc):
    """The 128 x 96 film, resampled with feathered, wandering edges. Returns the um map at res mm."""
    H, W = int(f.length_mm / res), int(arc / res)
    yy, xx = np.mgrid[0:H, 0:W].astype(np.float32)
    mm = 1 / res
    wob = 0.35 * mm
    edge = np.minimum.reduce([xx, W - 1 - xx, yy, H - 1 - yy]) / (1.5 * mm)
    edge = np.clip(edge, 0, 1)
    dx = wob * edge * (noise(rng, (H, W), 1.6 * mm, 4, 0.6))
    dy = wob * edge * (noise(rng, (H, W), 1.6 * mm, 4, 0.6))
    mx = ((xx + dx + 0.5) / W * gf.NX - 0.5).astype(np.float32)
    my = ((yy + dy + 0.5) / H * gf.NS - 0.5).astype(np.float32)
    T = cv2.remap(t.astype(np.float32), mx, my, cv2.INTER_LINEAR, borderMode=cv2.BORDER_REPLICATE)
    return np.clip(T, 0, None)


def brush(rng, d, width, along, res):
    """Painted seam: d = distance (mm) from the seam, along = coordinate (mm) along it -> um."""
    sh = d.shape
    wl = width * (1 + 0.28 * noise(rng, sh, 9 / res) + 0.12 * noise(rng, sh, 2 / res, 3))
    t = smooth(wl - d, 0, 0.5) * (30 + 13 * noise(rng, sh, 2.2 / res, 3))
    st = (
        noise(rng, sh, (max(0.18 / res, 1), 8 / res), 2)
        if along == "u"
        else noise(rng, sh, (8 / res, max(0.18 / res, 1)), 2)
    )
    t = np.clip(t, 0, None) * np.clip(0.75 + 0.35 * st, 0.05, 2)
    # starved brush: gaps towards the outer side
    t *= 1 - 0.85 * smooth(st + 1.5 * d / np.maximum(wl, 0.5) + 0.3 * noise(rng, sh, 3 / res, 3), 1.3, 2.6)
    return np.clip(t, 0, 90)


def splats(rng, sh, res, n, rmax=1.2):
    t = np.zeros(sh, np.float32)
    for _ in range(n):
        c = (int(rng.uniform(0, sh[1])), int(rng.uniform(0, sh[0])))
        r = max(int(rng.exponential(rmax / 2) / res), 1)
        cv2.ellipse(
            t,
            c,
            (r, max(int(r * rng.uniform(0.5, 1)), 1)),
            rng.uniform(0, 180),
            0,
            360,
            float(rng.uniform(6, 40)),
            -1,
            cv2.LINE_AA,
        )
    return t


def fingerprint(rng, sh, res, c, size=9.0, amp=1.3):
    """Ridge pattern of a thumb, um-like."""
    yy, xx = np.mgrid[0 : sh[0], 0 : sh[1]].astype(np.float32) * res
    a = rng.uniform(0, np.pi)
    X = (xx - c[1]) * np.cos(a) + (yy - c[0]) * np.sin(a)
    Y = -(xx - c[1]) * np.sin(a) + (yy - c[0]) * np.cos(a)
    r = np.hypot(X, Y * 0.72)
    ph = np.hypot(X - 1.2, (Y + 2) * 0.8) * 2 * np.pi / 0.55 + 0.8 * noise(rng, sh, 3 / res, 2)
    m = smooth(size - r - 1.2 * noise(rng, sh, 3 / res), 0, 2)
    return amp * m * np.clip(0.5 + 0.7 * np.sin(ph) + 0.3 * noise(rng, sh, 1.2 / res, 2), 0, 1.2)


# ---------------------------------------------------------------- the jaw
class Jaw:
    def __init__(s, rng, p, st, f, film_um, uid):
        """p: geometry dict, st: style dict, f: gapfield.Face, film_um: (NS, NX)."""
        s.p, s.st, s.f = p, st, f
        s.shapes = {}
        s.rng = rng
        L, R, Wc, Wb = f.length_mm, f.bore_radius_mm, p["chord"], p["block_w"]
        s.L, s.R, s.Wc, s.Wb = L, R, Wc, Wb
        s.phim = np.arcsin(Wc / 2 / R)
        s.arc = 2 * R * s.phim
        # sg = +1: concave face (outside grip), -1: convex face (inside grip); zf: z of the face's side edges, axz: z of the chuck axis
        s.sg = -1 if p.get("convex") else 1
        s.axz = s.sg * R
        s.zf = s.sg * (R - np.sqrt(R * R - Wc * Wc / 4))
        s.front = max(s.zf, 0.0)
        s.lk = np.tan(s.phim) + p.get("bevel", 0.4)
        s.c = p["chamfer"]
        s.T = L + s.c
        s.Rt = R + s.sg * s.c * p["chamfer_slope"]
        s.g, s.gd = p["groove"], p["groove_d"]
        s.H = p["below"]
        s.D = p["depth"]
        s.step = p["step"]
        s.build(film_um)

    def zarc(s, x, r):
        if s.sg < 0:  # convex: the arc, beside it a bevelled land; r < R cuts in
            ax = np.abs(x)
            hw = s.Wc / 2
            q = -s.R + np.sqrt(np.maximum(r * r - np.minimum(ax, hw) ** 2, 0))
            return q - s.lk * np.maximum(ax - hw, 0)
        return np.where(np.abs(x) < r, np.minimum(s.R - np.sqrt(np.maximum(r * r - x * x, 0)), s.zf), s.zf)

    def build(s, film_um):
        rng, st, p, f = s.rng, s.st, s.p, s.f
        seep = (f.method == "seep" if f.seam is None else f.seam) and not p.get("unpainted")
        res = p["res"]
        # --- the face
        phi = np.linspace(-s.phim, s.phim, 161)
        y = np.linspace(s.L, 0, 9)
        P = np.zeros((9, 161, 3))
        P[..., 0] = s.R * np.sin(phi)[None]
        P[..., 1] = y[:, None]
        P[..., 2] = s.sg * s.R * (1 - np.cos(phi))[None]
        UV = np.zeros((9, 161, 2))
        UV[..., 0] = np.linspace(0, 1, 161)[None]
        UV[..., 1] = np.linspace(0, 1, 9)[:, None]
        T = (
            fine_film(rng, f, film_um, res, s.arc)
            if film_um is not None
            else np.zeros((int(s.L / res), int(s.arc / res)), np.float32)
        )
        s.face_film = T.copy()
        sh = T.shape
        mm = 1 / res
        thin = np.zeros(sh, np.float32)
        lvl = 1.0 / (st["k"] * 10)  # so that smears look alike whatever the pigment strength
        for kind in p["smears"]:
            if kind == "wipe":  # a rag drawn across: thin parallel streaks
                a = rng.uniform(0, np.pi)
                yy, xx = np.mgrid[0 : sh[0], 0 : sh[1]].astype(np.float32) * res
                u = xx * np.cos(a) + yy * np.sin(a)
                v = -xx * np.sin(a) + yy * np.cos(a)
                c = rng.uniform(v.min(), v.max())
                wd = rng.uniform(3, 9)
                pr = np.interp(
                    v.ravel(),
                    np.linspace(v.min(), v.max(), 700),
                    np.convolve(rng.standard_normal(720), np.ones(5) / 2.2, "same")[10:710],
                ).reshape(sh)
                thin = np.maximum(
                    thin,
                    np.clip(pr, 0, 1.5)
                    * smooth(wd / 2 - np.abs(v - c), 0, 1.2)
                    * smooth(noise(rng, sh, 12 * mm), -0.6, 0.8)
                    * lvl
                    * rng.uniform(0.7, 1.5),
                )
            elif kind == "thumb":
                thin = np.maximum(
                    thin,
                    fingerprint(
                        rng,
                        sh,
                        res,
                        (rng.uniform(0, s.L), rng.uniform(0, s.arc)),
                        rng.uniform(6, 9),
                        lvl * rng.uniform(1, 1.8),
                    ),
                )
            elif kind == "drip":
                x0 = rng.uniform(0.1, 0.9) * sh[1]
                ln = rng.uniform(0.2, 0.6) * sh[0]
                wd = rng.uniform(0.25, 0.7) * mm
                yy, xx = np.mgrid[0 : sh[0], 0 : sh[1]].astype(np.float32)
                path = (
                    x0
                    + rng.uniform(-0.25, 0.25) * yy[:, :1]
                    + 0.35 * mm * noise(rng, (sh[0], 2), 9 * mm)[:, :1]
                )
                wd = wd * (0.7 + 0.9 * np.exp(-(((yy[:, :1] - ln) / (2.2 * mm)) ** 2)))
                T = np.maximum(T, 14 * smooth(wd - np.hypot(xx - path, np.maximum(yy - ln, 0)), 0, 0.25 * mm))
                s.face_film = np.maximum(s.face_film, T)
            elif kind == "all":  # smeared over everything
                a = rng.uniform(0, np.pi)
                n1 = noise(rng, sh, (1.0 * mm, 14 * mm), 3)
                n2 = noise(rng, sh, 9 * mm, 3)
                T = np.maximum(T * 0.5, np.clip(9 + 5 * n1 + 4 * n2, 1.0, 40))
                s.face_film = T.copy()
        thin = np.minimum(thin, 1.9)
        s.shapes["face"] = mesh(
            P,
            UV,
            metal_surface(rng, st, (s.L, s.arc), res, T, "u", thin=thin, grime=p.get("face_grime", 0.8)),
            "face",
        )
        # --- chamfer
        n = 121
        x = np.linspace(-s.Wc / 2, s.Wc / 2, n)
        r = np.linspace(s.Rt, s.R, 4)[:, None]
        yy = np.linspace(s.T, s.L, 4)[:, None]
        P = np.stack([np.broadcast_to(x, (4, n)), np.broadcast_to(yy, (4, n)), s.zarc(x[None], r)], -1)
        UV = np.stack(np.broadcast_arrays(np.linspace(0, 1, n)[None], np.linspace(0, 1, 4)[:, None]), -1)
        rc = min(res * 2, 0.06)
        shc = (max(int(s.c * 1.5 / rc), 24), int(s.arc / rc))
        if seep:
            fc = np.clip(26 + 16 * noise(rng, shc, (99, 3 / rc), 3), 0, 80)
        else:
            fc = (
                np.clip(2.5 * noise(rng, shc, (99, 3 / rc), 2) - 1.5, 0, 9)
                if not p.get("unpainted")
                else np.zeros(shc)
            )
        s.shapes["chamfer"] = mesh(
            P, UV, metal_surface(rng, st, (shc[0] * rc, shc[1] * rc), rc, fc, "u"), "chamfer"
        )
        bw = p["brush"]
        # --- lands beside the arc
        ro = p.get("ro", 0.08)
        if s.Wb - s.Wc > 0.6:
            for sg in (-1, 1):
                x = np.linspace(s.Wc / 2, s.Wb / 2, 40) * sg
                ys = np.r_[np.linspace(s.T, s.L, 4), np.linspace(s.L - 0.2, 0, 5)]
                rr = np.r_[np.linspace(s.Rt, s.R, 4), np.full(5, s.R)]
                P = np.stack(
                    [
                        np.broadcast_to(x, (9, 40)),
                        np.broadcast_to(ys[:, None], (9, 40)),
                        s.zarc(x[None], rr[:, None]),
                    ],
                    -1,
                )
                wl = (s.Wb - s.Wc) / 2
                UV = np.stack(
                    np.broadcast_arrays(np.linspace(0, 1, 40)[None], ((s.T - ys) / s.T)[:, None]), -1
                )
                shl = (int(s.T / ro), max(int(wl / ro), 24))
                d = np.broadcast_to(np.linspace(0, wl, shl[1])[None], shl).astype(np.float32)
                fl = brush(rng, d, bw * rng.uniform(0.6, 1.1), "v", ro) if seep else splats(rng, shl, ro, 2)
                s.shapes[f"land{sg}"] = mesh(
                    P, UV, metal_surface(rng, st, (s.T, wl), ro, fl, None, rough=1.1), "land"
                )
        # --- relief groove, floor, lower front
        x = np.linspace(-s.Wb / 2, s.Wb / 2, 201)
        if s.H > 0.6:
            R2 = s.R - s.sg * s.step
            if (
                s.sg < 0
            ):  # the shoulder stands out of the face: turned to R + step, or the flat front of the block
                fr = s.step * p.get("front", 0.7)
                s.front = fr
                zl = (
                    np.full(x.shape, fr)
                    if p.get("flat_front")
                    else np.minimum(-s.R + np.sqrt(np.maximum(R2 * R2 - x * x, 0)), fr)
                )
            else:
                zl = np.where(
                    np.abs(x) < R2,
                    np.minimum(s.R - np.sqrt(np.maximum(R2 * R2 - x * x, 0)), s.zf + p["nose"]),
                    s.zf + p["nose"],
                )
            yb = 0.0
            zi = s.zarc(x, s.R)
            if s.g > 0.05:
                ys = np.array([0, -0.15 * s.g, -0.3 * s.g, -0.8 * s.g, -s.g])
                rr = s.R + s.sg * s.gd * np.array([0, 0.8, 1, 1, 1])
                P = np.stack(
                    [
                        np.broadcast_to(x, (5, 201)),
                        np.broadcast_to(ys[:, None], (5, 201)),
                        s.zarc(x[None], rr[:, None]),
                    ],
                    -1,
                )
                UV = np.stack(
                    np.broadcast_arrays(np.linspace(0, 1, 201)[None], np.linspace(0, 1, 5)[:, None]), -1
                )
                s.shapes["groove"] = mesh(
                    P, UV, metal_surface(rng, st, (max(s.g, 1), s.Wb), 0.06, None, "u", grime=2), "groove"
                )
                yb = -s.g
                zi = s.zarc(x, s.R + s.sg * s.gd)
            zz = zi[None] + (zl - zi)[None] * np.linspace(0, 1, 12)[:, None]
            P = np.stack([np.broadcast_to(x, zz.shape), np.full(zz.shape, yb), zz], -1)
            UV = np.stack(
                np.broadcast_arrays(np.linspace(0, 1, 201)[None], np.linspace(0, 1, 12)[:, None]), -1
            )
            ff = (
                splats(rng, (int(max(s.step, 2) / ro), int(s.Wb / ro)), ro, rng.poisson(1.5))
                if seep
                else None
            )
            s.shapes["floor"] = mesh(
                P, UV, metal_surface(rng, st, (max(s.step, 2), s.Wb), ro, ff, "u", rough=0.9), "floor"
            )
            P = np.stack(np.broadcast_arrays(x[None], np.linspace(yb, -s.H, 6)[:, None], zl[None]), -1)
            UV = np.stack(
                np.broadcast_arrays(np.linspace(0, 1, 201)[None], np.linspace(0, 1, 6)[:, None]), -1
            )
            shl = (int((s.H + yb) / ro), int(s.Wb / ro))
            ff = splats(rng, shl, ro, rng.poisson(3)) if seep else None
            s.shapes["lower"] = mesh(
                P, UV, metal_surface(rng, st, (s.H + yb, s.Wb), ro, ff, None, rough=1.15, grime=1.3), "lower"
            )
            zlow = zl[-1]
        else:
            zlow = float(s.zarc(np.array(s.Wb / 2), s.R))
            yb = 0.0
        # --- flanks
        rows = [
            (s.T, s.zarc(np.array(s.Wb / 2), s.Rt)),
            (s.L, s.zarc(np.array(s.Wb / 2), s.R)),
            (0.0, s.zarc(np.array(s.Wb / 2), s.R)),
        ]
        if s.H > 0.6:
            if s.g > 0.05:
                rows += [
                    (-0.2 * s.g, s.zarc(np.array(s.Wb / 2), s.R + s.sg * s.gd)),
                    (yb, s.zarc(np.array(s.Wb / 2), s.R + s.sg * s.gd)),
                ]
            rows += [(yb - 1e-3, zlow), (-s.H, zlow)]
        else:
            rows += [(-s.H, zlow)]
        rows = np.array(rows, float)
        zmax = rows[:, 1].max()
        for sg in (-1, 1):
            t = np.linspace(0, 1, 10)[None]
            z = -s.D + t * (rows[:, 1:] + s.D)
            yr = np.broadcast_to(rows[:, :1], z.shape)
            P = np.stack([np.full(z.shape, sg * s.Wb / 2), yr, z], -1)
            hh, ww = s.T + s.H, s.D + zmax
            UV = np.stack([(z + s.D) / ww, (s.T - yr) / hh], -1)
            shl = (int(hh / ro), int(ww / ro))
            ym = s.T - (np.arange(shl[0]) + 0.5) * hh / shl[0]
            zm = -s.D + (np.arange(shl[1]) + 0.5) * ww / shl[1]
            zfr = np.interp(-ym, -rows[:, 0], rows[:, 1])
            d = np.clip(zfr[:, None] - zm[None], 0, None).astype(np.float32)
            if seep:
                fl = brush(rng, d, bw * rng.uniform(0.7, 1.3), "v", ro)
                lo = rng.uniform(-3, 2)
                fl *= smooth(ym[:, None] + 0.8 * noise(rng, shl, 3 / ro), lo - 1, lo + 0.5)
                fl = np.maximum(fl, splats(rng, shl, ro, rng.poisson(4)))
                if rng.random() < 0.5:
                    fl = np.maximum(
                        fl, fingerprint(rng, shl, ro, (rng.uniform(0, hh), rng.uniform(0, ww)), 8, 2.0)
                    )
            else:
                fl = splats(rng, shl, ro, rng.poisson(1.0)) if not p.get("unpainted") else None
            # note: smooth normals must not bend round the profile; the flank is planar
            s.shapes[f"flank{sg}"] = mesh(
                P,
                UV,
                metal_surface(rng, st, (hh, ww), ro, fl, "v" if p["mill"] else None, rough=1.15, grime=1.4),
                "flank",
            )
        # --- tip surface with counterbores and the stamped number
        z1 = s.zarc(x, s.Rt)
        zz = -s.D + (z1 + s.D)[None] * np.linspace(0, 1, 14)[:, None]
        P = np.stack([np.broadcast_to(x, zz.shape), np.full(zz.shape, s.T), zz], -1)
        ztop = max(s.zf, 0.0)
        ww = s.D + ztop
        UV = np.stack([np.broadcast_to((x / s.Wb + 0.5)[None], zz.shape), (zz + s.D) / ww], -1)
        shl = (int(ww / ro), int(s.Wb / ro))
        xm = (np.arange(shl[1]) + 0.5) / shl[1] * s.Wb - s.Wb / 2
        zm = -s.D + (np.arange(shl[0]) + 0.5) * ww / shl[0]
        rr = np.hypot(xm[None], s.axz - zm[:, None])
        d = np.clip(s.sg * (rr - s.Rt), 0, None).astype(np.float32)
        if seep:
            fl = brush(rng, d, bw * rng.uniform(0.8, 1.4), "u", ro)
            fl = np.maximum(fl, splats(rng, shl, ro, rng.poisson(4)))
            if rng.random() < 0.4:
                fl = np.maximum(
                    fl, fingerprint(rng, shl, ro, (rng.uniform(0, ww), rng.uniform(0, s.Wb)), 8, 2.0)
                )
        elif not p.get("unpainted"):
            fl = splats(rng, shl, ro, rng.poisson(2))
        else:
            fl = np.zeros(shl, np.float32)
        eh = np.zeros(shl, np.float32)
        dk = np.zeros(shl, np.float32)
        hole = np.ones(shl, np.float32)
        s.bolts = []
        if p["bolts"]:
            for zb in p["bolts"]:
                if zb - 10 > -s.D:
                    s.bolts.append((0.0, zb, p["cb_r"]))
        for bx, bz, br in s.bolts:
            hole[np.hypot(xm[None] - bx, zm[:, None] - bz) < br] = 0
        if p["digit"]:
            dx = p["digit_x"] * s.Wb
            dz = p["digit_z"] + (float(s.zarc(np.array(dx), s.R)) if s.sg < 0 else 0)
            im = np.zeros(shl, np.uint8)
            px = int((dx + s.Wb / 2) / s.Wb * shl[1])
            py = int((dz + s.D) / ww * shl[0])
            sc = p["digit_h"] / ro / 22
            # seen from the tip with the face towards the viewer (+z near): x to the right
            g = np.zeros((160, 160), np.uint8)
            cv2.putText(g, str(p["digit"]), (40, 120), p["digit_font"], 4, 255, 9, cv2.LINE_AA)
            k = p["digit_h"] / ro / 90
            M = cv2.getRotationMatrix2D((80, 80), p["digit_rot"], k)
            M[:, 2] += (px - 80, py - 80)
            im = cv2.warpAffine(g, M, (shl[1], shl[0])).astype(np.float32) / 255
            eh -= 0.25 * cv2.GaussianBlur(im, (0, 0), 1.2)
            dk = np.maximum(dk, 0.75 * im)
        b = metal_surface(
            rng,
            st,
            (ww, s.Wb),
            ro,
            fl,
            "u" if p["faced"] else None,
            rough=1.1,
            grime=1.2,
            extra_h=eh,
            dark=dk,
        )
        if s.bolts:
            b = {"type": "mask", "opacity": tex(hole), "n": b}
        s.shapes["tip"] = mesh(P, UV, b, "tip")
        inner = {
            "type": "twosided",
            "b": {
                "type": "roughconductor",
                "material": "none",
                "specular_reflectance": rgb(np.array(st["metal_rgb"]) * 0.8),
                "alpha": 0.3,
            },
        }
        blk = {
            "type": "twosided",
            "b": {
                "type": "principled",
                "base_color": rgb([0.03, 0.03, 0.033]),
                "roughness": 0.35,
                "metallic": 0.7,
            },
        }
        for i, (bx, bz, br) in enumerate(s.bolts):
            dp = 11.0
            s.shapes[f"cb{i}"] = {
                "type": "cylinder",
                "p0": [bx, s.T - dp, bz],
                "p1": [bx, s.T, bz],
                "radius": br,
                "b": inner,
            }
            s.shapes[f"cbf{i}"] = {
                "type": "disk",
                "to_world": mi.ScalarTransform4f()
                .translate([bx, s.T - dp, bz])
                .rotate([1, 0, 0], -90)
                .scale(br),
                "b": inner,
            }
            if p["screws"]:
                hr = br * 0.85
                s.shapes[f"sc{i}"] = {
                    "type": "cylinder",
                    "p0": [bx, s.T - dp, bz],
                    "p1": [bx, s.T - 1.5, bz],
                    "radius": hr,
                    "b": blk,
                }
                s.shapes[f"scf{i}"] = ring_hex(bx, s.T - 1.5, bz, hr, hr * 0.5, blk)
                s.shapes[f"sch{i}"] = {
                    "type": "disk",
                    "to_world": mi.ScalarTransform4f()
                    .translate([bx, s.T - 7, bz])
                    .rotate([1, 0, 0], -90)
                    .scale(hr),
                    "b": {"type": "diffuse", "reflectance": rgb([0.01] * 3)},
                }
        # --- back and bottom
        plain = {
            "type": "twosided",
            "b": {
                "type": "roughconductor",
                "material": "none",
                "specular_reflectance": rgb(np.array(st["metal_rgb"]) * 0.85),
                "alpha": 0.35,
            },
        }
        zc = (-s.D + zmax) / 2
        s.shapes["bottom"] = {
            "type": "rectangle",
            "to_world": mi.ScalarTransform4f()
            .translate([0, -s.H, (-s.D + (min(s.zf, zlow) if s.sg > 0 else zlow)) / 2])
            .rotate([1, 0, 0], 90)
            .scale([s.Wb / 2, (s.D + (min(s.zf, zlow) if s.sg > 0 else zlow)) / 2, 1]),
            "b": plain,
        }
        # --- broken edges catch the light
        eb = {
            "type": "roughconductor",
            "material": "none",
            "specular_reflectance": rgb(st["metal_rgb"]),
            "alpha": 0.22,
        }
        er = p["edge_r"]
        o = er * 0.55
        for sg in (-1, 1):
            xe = sg * (s.Wb / 2 - o)
            if s.Wb - s.Wc > 0.6:
                s.shapes[f"e1{sg}"] = {
                    "type": "cylinder",
                    "p0": [xe, 0, float(rows[1, 1]) - o],
                    "p1": [xe, s.L, float(rows[1, 1]) - o],
                    "radius": er,
                    "b": eb,
                }
            s.shapes[f"e2{sg}"] = {
                "type": "cylinder",
                "p0": [xe, s.T - o, -s.D],
                "p1": [xe, s.T - o, float(rows[0, 1]) - 0.3],
                "radius": er,
                "b": eb,
            }
            if s.H > 2:
                s.shapes[f"e3{sg}"] = {
                    "type": "cylinder",
                    "p0": [xe, yb - o, zlow - o],
                    "p1": [xe, -s.H, zlow - o],
                    "radius": er,
                    "b": eb,
                }

    # geometry for truth
    def face_point(s, u, v):
        """u 0..1 left to right, v 0 tip .. 1 base."""
        ph = (np.asarray(u) * 2 - 1) * s.phim
        return np.stack(
            np.broadcast_arrays(s.R * np.sin(ph), s.L * (1 - np.asarray(v)), s.sg * s.R * (1 - np.cos(ph))),
            -1,
        )

    def corners(s):
        return s.face_point(np.array([0, 1, 1, 0.0]), np.array([0, 0, 1, 1.0]))


def ring_hex(bx, y, bz, ro, rh, bsdf):
    """Screw head top: disk with a hexagonal hole."""
    a = np.linspace(0, 2 * np.pi, 73)
    hx = rh / np.cos((np.mod(a + np.pi / 6, np.pi / 3)) - np.pi / 6)
    P = np.zeros((2, 73, 3))
    P[0, :, 0] = bx + hx * np.cos(a)
    P[0, :, 2] = bz + hx * np.sin(a)
    P[1, :, 0] = bx + ro * np.cos(a)
    P[1, :, 2] = bz + ro * np.sin(a)
    P[..., 1] = y
    UV = np.stack(np.broadcast_arrays(np.linspace(0, 1, 73)[None], np.linspace(0, 1, 2)[:, None]), -1)
    return mesh(P, UV, bsdf)
