"""Surroundings, lights and camera."""

import numpy as np, cv2
import mitsuba as mi
from scene import noise, smooth, tex, rgb, mesh, box, D2R


def norm(v):
    v = np.asarray(v, float)
    return v / (np.linalg.norm(v) + 1e-12)


def ortho(n):
    a = np.array([1, 0, 0]) if abs(n[0]) < 0.8 else np.array([0, 1, 0])
    u = norm(np.cross(n, a))
    return u, np.cross(n, u)


def envmap(rng, up, level, tint, busy=1.0, pal=None):
    """Blurry workshop all around; returns an emitter dict. up: world direction of the ceiling."""
    H, W = 256, 512
    v = np.linspace(0, 1, H)[:, None]
    im = np.zeros((H, W, 3), np.float32)
    ceil = np.array([0.42, 0.42, 0.42])
    floor = np.array([0.10, 0.095, 0.09])
    wall = rng.uniform(0.18, 0.4) * np.array([1, 1, 1])
    k = smooth(v, 0.25, 0.45)[..., None]
    k2 = smooth(v, 0.55, 0.7)[..., None]
    im[:] = ceil * (1 - k) + wall * k * (1 - k2) + floor * k2
    pal = pal or [
        (0.25, 0.27, 0.28),
        (0.5, 0.5, 0.48),
        (0.05, 0.05, 0.06),
        (0.08, 0.14, 0.10),
        (0.7, 0.68, 0.6),
        (0.3, 0.2, 0.12),
        (0.02, 0.02, 0.02),
        (0.18, 0.2, 0.23),
    ]
    for _ in range(int(70 * busy)):
        c = np.array(pal[rng.integers(len(pal))]) * rng.uniform(0.5, 1.3)
        x, y = int(rng.uniform(0, W)), int(rng.uniform(0.3, 0.85) * H)
        w, h = int(rng.exponential(26)) + 3, int(rng.exponential(20)) + 3
        cv2.rectangle(im, (x, y), (x + w, y + h), [float(q) for q in c], -1)
    for _ in range(int(25 * busy)):
        c = rng.uniform(0.3, 1.5) * np.array([1, 1, 1.0])
        x, y = int(rng.uniform(0, W)), int(rng.uniform(0.25, 0.7) * H)
        cv2.rectangle(
            im,
            (x, y),
            (x + int(rng.exponential(5)) + 1, y + int(rng.exponential(5)) + 1),
            [float(q) for q in c],
            -1,
        )
    for _ in range(rng.integers(2, 6)):  # tube fittings on the ceiling
        x, y = int(rng.uniform(0, W)), int(rng.uniform(0.06, 0.28) * H)
        w = int(rng.uniform(25, 90))
        cv2.rectangle(
            im,
            (x, y),
            (x + w, y + rng.integers(3, 7)),
            [float(q) for q in rng.uniform(6, 14) * np.ones(3)],
            -1,
        )
    im = cv2.GaussianBlur(im, (0, 0), rng.uniform(1.0, 2.2)) * level * np.array(tint)
    im = np.concatenate([im, im[:, :1]], 1)  # wrap
    u, w = ortho(norm(up))
    M = np.eye(4)
    M[:3, 0], M[:3, 1], M[:3, 2] = u, norm(up), np.cross(u, norm(up))
    T = mi.ScalarTransform4f(M) @ mi.ScalarTransform4f().rotate([0, 1, 0], float(rng.uniform(0, 360)))
    return {"type": "envmap", "bitmap": mi.Bitmap(np.ascontiguousarray(im, np.float32)), "to_world": T}


def area(pos, target, w, h, power_rgb, roll=0.0):
    """Rectangular light at pos facing target; power_rgb = radiance."""
    up = ortho(norm(np.array(target) - pos))[0]
    return {
        "type": "rectangle",
        "to_world": mi.ScalarTransform4f()
        .look_at(origin=list(map(float, pos)), target=list(map(float, target)), up=list(map(float, up)))
        .rotate([0, 0, 1], roll)
        .scale([w / 2, h / 2, 1]),
        "e": {"type": "area", "radiance": rgb(power_rgb)},
        "b": {"type": "diffuse", "reflectance": rgb([0.1] * 3)},
    }


def kelvin(t):
    """Rough RGB of a light of colour temperature t (linear, green = 1)."""
    t = t / 100
    r = 255 if t <= 66 else 329.7 * (t - 60) ** -0.1332
    g = 99.47 * np.log(t) - 161.12 if t <= 66 else 288.12 * (t - 60) ** -0.0755
    b = 255 if t >= 66 else (0 if t <= 19 else 138.52 * np.log(t - 10) - 305.04)
    c = (np.clip([r, g, b], 1, 255) / 255) ** 2.2
    return c / c[1]


GLOVES = {
    "blue": (0.03, 0.10, 0.45),
    "black": (0.015, 0.015, 0.017),
    "orange": (0.75, 0.22, 0.03),
    "grey": (0.32, 0.32, 0.33),
    "white": (0.75, 0.74, 0.70),
    "yellow": (0.75, 0.55, 0.05),
    "red": (0.55, 0.04, 0.03),
}


def fabric(rng, col, scale=900):
    n = 1024
    a = noise(rng, (n, n), 40, 5)
    i = np.arange(n)
    wv = 0.5 + 0.25 * np.sin(i * 2 * np.pi / 5)[None] + 0.25 * np.sin(i * 2 * np.pi / 5)[:, None]
    wv = wv + 0.12 * noise(rng, (n, n), (2, 30)) + 0.12 * noise(rng, (n, n), (30, 2))
    st = smooth(noise(rng, (n, n), 110, 6, 0.62), 0.5, 2.4)
    c = (
        np.array(col)[None, None]
        * (1 + 0.07 * a[..., None])
        * (0.72 + 0.4 * wv[..., None])
        * (1 - 0.38 * st[..., None])
    )
    return {"type": "twosided", "b": {"type": "diffuse", "reflectance": tex(np.clip(c, 0.003, 0.9))}}


def folds(rng, n, k=5):
    """Cloth: long creases in a few directions over a slow swell, about 0..1."""
    Z = 0.45 * noise(rng, (n, n), n / 3, 1)
    for j in range(k):
        m = noise(rng, (2 * n, 2 * n), (n * rng.uniform(0.10, 0.22), n * rng.uniform(0.7, 1.2)), 2, 0.35)
        M = cv2.getRotationMatrix2D((n, n), float(rng.uniform(0, 360)), 1.0)
        m = cv2.warpAffine(m, M, (2 * n, 2 * n), flags=cv2.INTER_CUBIC, borderMode=cv2.BORDER_REFLECT)[
            n // 2 : n // 2 + n, n // 2 : n // 2 + n
        ]
        Z += np.clip(1 - np.abs(m) / 0.55, 0, 1) ** 1.5 * rng.uniform(0.25, 0.7)
    Z = cv2.GaussianBlur(Z, (0, 0), n / 160)
    return (Z - np.percentile(Z, 2)) / (np.percentile(Z, 99) - np.percentile(Z, 2))


def rag(rng, size, z, col, amp=6.0, center=(0, 0), drape=None):
    n = 320
    g = np.linspace(-0.5, 0.5, n)
    X, Y = np.meshgrid(g * size, g * size)
    Z = amp * (np.clip(folds(rng, n), 0, 1.3) + 0.012 * noise(rng, (n, n), 10, 2))
    if drape is not None:
        Z = Z + drape(X + center[0], Y + center[1])
    rot = rng.uniform(0, 6.28)
    e = 1 + 0.05 * noise(rng, (n, n), n / 4, 2)  # the outline is not a square
    Xr, Yr = (X * np.cos(rot) - Y * np.sin(rot)) * e, (X * np.sin(rot) + Y * np.cos(rot)) * e
    if drape is not None:
        Xr, Yr = X, Y
    P = np.stack([Xr + center[0], Yr + center[1], Z + z], -1)
    UV = np.stack([(g + 0.5)[None] + 0 * Z, (g + 0.5)[:, None] + 0 * Z], -1)
    return mesh(P, UV, fabric(rng, col))


def bench(rng, kind, z, rgb_=None):
    n = 1024
    S = 900.0
    if kind == "wood":
        a = noise(rng, (n, n), (60, 4), 3) * 0.5 + noise(rng, (n, n), (200, 14), 3)
        c = (
            np.array([0.33, 0.20, 0.10])[None, None]
            * np.clip(1 + 0.22 * a[..., None], 0.2, 2)
            * (1 - 0.6 * smooth(noise(rng, (n, n), 60, 4), 0.9, 2)[..., None])
        )
        b = {"type": "roughplastic", "diffuse_reflectance": tex(np.clip(c, 0.01, 0.9)), "alpha": 0.35}
    elif kind == "steel":
        c = np.array([0.42, 0.43, 0.45])[None, None] * np.clip(
            1 + 0.16 * noise(rng, (n, n), 50, 5)[..., None], 0.2, 1.6
        )
        b = {
            "type": "blendbsdf",
            "weight": tex(np.clip(0.35 + 0.2 * noise(rng, (n, n), 80, 4), 0, 1)),
            "a": {
                "type": "roughconductor",
                "material": "none",
                "specular_reflectance": tex(np.clip(c, 0, 1)),
                "alpha": 0.3,
            },
            "b2": {"type": "diffuse", "reflectance": rgb([0.12, 0.11, 0.10])},
        }
    elif kind == "paint":
        col = [
            (0.10, 0.13, 0.12),
            (0.22, 0.24, 0.25),
            (0.05, 0.12, 0.30),
            (0.07, 0.20, 0.12),
            (0.30, 0.28, 0.24),
        ][rng.integers(5)]
        if rgb_ is not None:
            col = rgb_
        c = np.array(col)[None, None] * np.clip(1 + 0.15 * noise(rng, (n, n), 70, 5)[..., None], 0.2, 2)
        ch = smooth(noise(rng, (n, n), 22, 4), 1.7, 1.8)[..., None]
        c = c * (1 - ch) + ch * np.array([0.12, 0.10, 0.09])
        b = {"type": "roughplastic", "diffuse_reflectance": tex(np.clip(c, 0.01, 0.9)), "alpha": 0.2}
    elif kind == "rubber":
        c = np.full((n, n, 3), 0.02) * np.clip(1 + 0.4 * noise(rng, (n, n), 30, 4)[..., None], 0.2, 3)
        b = {"type": "roughplastic", "diffuse_reflectance": tex(np.clip(c, 0.004, 0.9)), "alpha": 0.4}
    elif kind == "card":
        c = (
            np.array([0.42, 0.29, 0.17])[None, None]
            * np.clip(1 + 0.06 * noise(rng, (n, n), 20, 5)[..., None], 0.2, 2)
            * (1 - 0.5 * smooth(noise(rng, (n, n), 50, 4), 1.2, 2)[..., None])
        )
        b = {"type": "diffuse", "reflectance": tex(np.clip(c, 0.01, 0.9))}
    else:  # squared paper / drawing
        c = np.full((n, n, 3), 0.72)
        c *= 1 + 0.02 * noise(rng, (n, n), 90, 3)[..., None]
        for _ in range(14):
            p = rng.integers(0, n, 4)
            cv2.line(c, (int(p[0]), int(p[1])), (int(p[2]), int(p[1])), (0.1, 0.1, 0.12), 2)
        c *= 1 - 0.5 * smooth(noise(rng, (n, n), 60, 4), 1.3, 2)[..., None]
        b = {"type": "diffuse", "reflectance": tex(np.clip(c, 0.01, 0.9))}
    return {
        "type": "rectangle",
        "to_world": mi.ScalarTransform4f()
        .translate([0, 0, z])
        .scale([S / 2, S / 2, 1])
        .rotate([0, 0, 1], float(rng.uniform(0, 360))),
        "b": {"type": "twosided", "x": b},
    }


def curl(rng, pos, bsdf, r=2.0, turns=2.5, wd=1.2):
    """A small turned chip: helical ribbon."""
    t = np.linspace(0, turns * 2 * np.pi, 90)
    rr = r * (1 - 0.3 * t / t[-1])
    pitch = rng.uniform(0.5, 1.2)
    C = np.stack([rr * np.cos(t), rr * np.sin(t), pitch * t / 6.28], -1)
    E = np.array([0, 0, 1.0]) * wd
    P = np.stack([C, C + E + 0.15 * wd * rng.standard_normal(3)], 1)
    A = np.linalg.qr(rng.standard_normal((3, 3)))[0]
    P = P @ A.T
    P -= P.reshape(-1, 3).min(0) * np.array([0, 0, 1])
    P = P + np.asarray(pos)
    return mesh(
        P,
        np.stack(np.broadcast_arrays(np.linspace(0, 1, len(P))[:, None], np.linspace(0, 1, 2)[None]), -1),
        bsdf,
    )


def capsule(a, b, r, bsdf, tag):
    a, b = list(map(float, a)), list(map(float, b))
    return {
        f"{tag}c": {"type": "cylinder", "p0": a, "p1": b, "radius": r, "b": bsdf},
        f"{tag}s": {"type": "sphere", "center": a, "radius": r, "b": bsdf},
        f"{tag}t": {"type": "sphere", "center": b, "radius": r, "b": bsdf},
    }


def surroundings(rng, jaw, kind, nu, st):
    """Shapes around the jaw. Returns dict, up direction."""
    S = {}
    Wb, T, H, D = jaw.Wb, jaw.T, jaw.H, jaw.D
    ym = (T - H) / 2
    distract = nu.get("distract")
    dcol = {"blue": (0.03, 0.09, 0.42), "red": (0.55, 0.05, 0.03), "yellow": (0.75, 0.55, 0.05)}
    if nu.get("distract_rgb"):
        dcol["random"] = tuple(nu["distract_rgb"])
    if nu.get("clutter_rgb"):
        dcol.update({f"c{i}": c for i, c in enumerate(nu["clutter_rgb"])})
    metal = {
        "type": "twosided",
        "b": {
            "type": "roughconductor",
            "material": "none",
            "specular_reflectance": rgb(np.array(st["metal_rgb"]) * 0.95),
            "alpha": 0.15,
        },
    }
    if kind in ("bench", "rag"):
        up = np.array([0, 0, 1.0])
        S["bench"] = bench(rng, nu["bench"], -D - 0.1, nu.get("bench_rgb"))
        if kind == "rag":
            S["rag"] = rag(
                rng,
                rng.uniform(150, 260),
                -D - 0.3,
                nu["rag_rgb"],
                5.0,
                (rng.uniform(-25, 25), ym + rng.uniform(-25, 25)),
            )
        lo, hi = Wb / 2 + 6, 170
        for i in range(nu["clutter"]):
            a = rng.uniform(0, 6.28)
            d = rng.uniform(max(lo, (T + H) / 2) + 12, hi)
            c = np.array([d * np.cos(a), ym + d * np.sin(a), -D])
            q = rng.random()
            col = (
                rng.uniform(0.02, 0.5) * np.ones(3)
                if rng.random() < 0.55
                else np.array(list(dcol.values())[rng.integers(len(dcol))]) * rng.uniform(0.6, 1.2)
            )
            if distract and i < 2:
                col = np.array(dcol[distract])
            bs = (
                {"type": "roughplastic", "diffuse_reflectance": rgb(col), "alpha": 0.2}
                if rng.random() < 0.6 or (distract and i < 2)
                else metal
            )
            sz = rng.uniform(5, 22, 3) * (1 + (distract is not None and i < 2))
            rot = float(rng.uniform(0, 180))
            tr = mi.ScalarTransform4f().translate(list(c + [0, 0, sz[2] * 0.5])).rotate([0, 0, 1], rot)
            if q < 0.35:
                S[f"cl{i}"] = {
                    "type": "cube",
                    "to_world": tr.scale(list(np.maximum(sz * [1.4, 0.6, 0.5], 1))),
                    "b": bs,
                }
            elif q < 0.75:
                v = np.array([np.cos(rot), np.sin(rot), 0]) * rng.uniform(15, 60)
                r = float(rng.uniform(2, 7))
                S.update(capsule(c - v + [0, 0, r], c + v + [0, 0, r], r, bs, f"cl{i}"))
            else:
                hgt = float(rng.uniform(3, 20))
                r = float(rng.uniform(4, 14))
                S[f"cl{i}"] = {
                    "type": "cylinder",
                    "p0": list(c),
                    "p1": list(c + [0, 0, hgt]),
                    "radius": r,
                    "b": metal,
                }
                S[f"clt{i}"] = {
                    "type": "disk",
                    "to_world": mi.ScalarTransform4f().translate(list(c + [0, 0, hgt])).scale(r),
                    "b": metal,
                }
        for i in range(nu["curls"]):
            a = rng.uniform(0, 6.28)
            d = rng.uniform(Wb / 2 + 4, 70)
            S[f"curl{i}"] = curl(
                rng,
                (d * np.cos(a), ym + d * np.sin(a), -D + 0.3),
                metal,
                rng.uniform(0.8, 3),
                rng.uniform(1, 4),
                rng.uniform(0.6, 2),
            )
    elif kind == "chuck":
        a = rng.uniform(0, 2 * np.pi)
        up = norm([np.sin(a), 0.15, np.cos(a) * 0.8 + 0.3])
        cb = np.array(nu["chuck_rgb"])
        y0 = -H - nu["master_h"]
        R = jaw.R
        ax = jaw.axz
        cvx = jaw.sg < 0
        n = 512
        dk = {
            "type": "twosided",
            "b": {
                "type": "blendbsdf",
                "weight": tex(np.clip(0.45 + 0.2 * noise(rng, (n, n), 40, 4), 0, 1)),
                "a": {
                    "type": "roughconductor",
                    "material": "none",
                    "specular_reflectance": tex(
                        np.clip(cb[None, None] * (1 + 0.2 * noise(rng, (n, n), 30, 4)[..., None]), 0, 1)
                    ),
                    "alpha": 0.28,
                },
                "c": {"type": "diffuse", "reflectance": rgb(cb * 0.25)},
            },
        }
        dk = mi.load_dict(dk)
        rad = rng.uniform(105, 150)
        S["chuck"] = {
            "type": "disk",
            "to_world": mi.ScalarTransform4f().translate([0, y0, ax]).rotate([1, 0, 0], -90).scale(rad),
            "b": dk,
        }
        S["chuckrim"] = {
            "type": "cylinder",
            "p0": [0, y0 - 60, ax],
            "p1": [0, y0, ax],
            "radius": rad,
            "b": dk,
        }
        S["bore"] = {
            "type": "disk",
            "to_world": mi.ScalarTransform4f()
            .translate([0, y0 + 0.3, ax])
            .rotate([1, 0, 0], -90)
            .scale(rng.uniform(16, 30)),
            "b": {"type": "diffuse", "reflectance": rgb([0.008] * 3)},
        }
        for q in range(3):  # master jaws with serrations, their slots, and the other two jaws
            ang = q * 120.0
            Tq = mi.ScalarTransform4f().translate([0, 0, ax]).rotate([0, 1, 0], ang).translate([0, 0, -ax])
            mw = Wb * 0.8
            zz = np.arange(-D - 4, jaw.front + 38, 0.25) if cvx else np.arange(-D - 38, jaw.zf + 9, 0.25)
            ph = np.mod(zz / nu["serr"], 1)
            yy = -H - 0.1 - np.abs(ph - 0.5) * 2 * min(nu["serr"] * 0.6, 1.6)
            xs = np.linspace(-mw / 2, mw / 2, 3)
            P = np.stack(np.broadcast_arrays(xs[None], yy[:, None], zz[:, None]), -1)
            M = np.array(Tq.matrix)
            P = P @ M[:3, :3].T + M[:3, 3]
            S[f"serr{q}"] = mesh(
                P,
                np.stack(
                    np.broadcast_arrays(np.linspace(0, 1, 3)[None], np.linspace(0, 1, len(zz))[:, None]), -1
                ),
                dk,
            )
            S[f"mast{q}"] = {
                "type": "cube",
                "to_world": Tq
                @ mi.ScalarTransform4f()
                .translate([0, (y0 - H) / 2 - 0.9, (zz[0] + zz[-1]) / 2])
                .scale([mw / 2, (-H - y0) / 2 - 0.6, (zz[-1] - zz[0]) / 2]),
                "b": dk,
            }
            S[f"slot{q}"] = {
                "type": "cube",
                "to_world": Tq
                @ mi.ScalarTransform4f()
                .translate([0, y0 + 0.15, -ax * 0.2])
                .scale([mw / 2 + 1.0, 0.2, rad * 0.6]),
                "b": {"type": "diffuse", "reflectance": rgb([0.01] * 3)},
            }
            if q and nu.get("others", True):
                off = 0.0 if cvx else 12.0
                zo = max(jaw.zf, 0)
                S[f"oj{q}"] = {
                    "type": "cube",
                    "to_world": Tq
                    @ mi.ScalarTransform4f()
                    .translate([0, (T - H) / 2, (zo - D) / 2 - off])
                    .scale([Wb / 2, (T + H) / 2, (zo + D) / 2]),
                    "b": metal,
                }
        if distract:
            S["panel"] = {
                "type": "rectangle",
                "to_world": mi.ScalarTransform4f()
                .look_at(
                    origin=[rng.uniform(-300, 300), rng.uniform(-100, 250), -420],
                    target=[0, 0, 0],
                    up=[0, 1, 0],
                )
                .scale([170, 130, 1]),
                "b": {"type": "roughplastic", "diffuse_reflectance": rgb(dcol[distract]), "alpha": 0.2},
            }
        for i in range(nu["curls"]):
            S[f"curl{i}"] = curl(
                rng,
                (rng.uniform(-1, 1) * Wb, y0 + 3, rng.uniform(-10, 35)),
                metal,
                rng.uniform(0.8, 3),
                rng.uniform(1, 4),
                rng.uniform(0.6, 2),
            )
    else:  # held in a gloved hand
        a = rng.uniform(0, 2 * np.pi)
        up = norm([np.sin(a) * 0.7, np.cos(a) * 0.7, 0.6])
        n = 512
        col = np.array(nu["glove_rgb"] if nu["glove"] == "random" else GLOVES[nu["glove"]]) * rng.uniform(
            0.7, 1.2
        )
        gl = (
            {"type": "roughplastic", "diffuse_reflectance": rgb(np.clip(col, 0.004, 0.9)), "alpha": 0.32}
            if (nu["glove"] in ("blue", "black", "orange") or nu.get("glove_gloss"))
            else {"type": "diffuse", "reflectance": rgb(np.clip(col, 0.004, 0.9))}
        )
        sd = 1 if rng.random() < 0.5 else -1
        r = rng.uniform(8, 10.5)
        base = rng.uniform(-0.3, 0.3) * T + (-H + T) / 2
        ob = rng.uniform(6, 16) * (1 if rng.random() < 0.5 else -1)
        dark = lambda q: (
            {**gl, "reflectance": rgb(np.array(col) * q)}
            if "reflectance" in gl
            else {**gl, "diffuse_reflectance": rgb(np.clip(np.array(col) * q, 0.004, 0.9))}
        )
        for i in range(4):
            y = base + (i - 1.5) * 2.0 * r + rng.uniform(-2, 2)
            w = r * rng.uniform(0.88, 1.05) * (0.85 if i in (0, 3) else 1)
            gi = dark(rng.uniform(0.8, 1.1))
            dy = ob * rng.uniform(0.7, 1.3)
            x0 = sd * (Wb / 2 + w * 0.8)
            zt = max(rng.uniform(-0.5, -0.1) * D - 2 + min(jaw.zf, 0), -D)
            S.update(capsule([x0 * 1.05, y - dy, -D - r], [x0, y + dy, zt], w, gi, f"f{i}a"))
            S.update(
                capsule(
                    [x0 * 1.05, y - dy, -D - r],
                    [-x0 * 0.3, y - 1.6 * dy, -D - r * 1.7],
                    w * 1.08,
                    gi,
                    f"f{i}b",
                )
            )
        x0 = -sd * (Wb / 2 + r * 0.95)
        y = base + rng.uniform(-10, 10)
        gi = dark(rng.uniform(0.85, 1.1))
        S.update(capsule([x0 * 1.25, y - 30, -D - 10], [x0 * 1.1, y - 8, -0.6 * D], r * 1.25, gi, "th"))
        S.update(
            capsule(
                [x0 * 1.1, y - 8, -0.6 * D],
                [x0, y + 16, max(-0.3 * D - 2 + min(jaw.zf, 0), -D)],
                r * 1.12,
                gi,
                "th2",
            )
        )
        S["palm"] = {
            "type": "sphere",
            "to_world": mi.ScalarTransform4f()
            .translate([0, base, -D - 27])
            .scale([Wb * 0.55 + 8, (T + H) * 0.42 + 8, 20]),
            "b": gl,
        }
        S["wrist"] = {
            "type": "cylinder",
            "p0": [0, base, -D - 50],
            "p1": [sd * -80.0, base - 260, -D - 110],
            "radius": 33,
            "b": {"type": "diffuse", "reflectance": rgb(rng.uniform(0.02, 0.3, 3))},
        }
        if distract:
            S["panel"] = {
                "type": "rectangle",
                "to_world": mi.ScalarTransform4f()
                .look_at(
                    origin=[rng.uniform(-250, 250), rng.uniform(-200, 200), -500],
                    target=[0, 0, 0],
                    up=[0, 1, 0],
                )
                .scale([150, 120, 1]),
                "b": {"type": "roughplastic", "diffuse_reflectance": rgb(dcol[distract]), "alpha": 0.2},
            }
    return S, up


def lights(rng, jaw, nu, up, cam_o, cam_f):
    """nu['light']: words. Returns shapes and the environment."""
    S = {}
    c = np.array([0, jaw.L / 2, 0.0])
    words = nu["light"]
    envl = nu["env"]
    tint = kelvin(nu["kelvin"])
    S["env"] = envmap(rng, up, envl, tint**0.7, nu.get("busy", 1.0), nu.get("pal"))
    if "tubes" in words:
        u, v = ortho(norm(up))
        roll = rng.uniform(0, 90)
        for i in range(rng.integers(1, 4)):
            p = (
                c
                + norm(up) * rng.uniform(900, 1500)
                + u * rng.uniform(-700, 700)
                + v * rng.uniform(-700, 700)
            )
            S[f"tube{i}"] = area(p, c, 1300, 60, 26 * tint * nu["gain"], roll)
    if "lamp" in words:
        n = norm([rng.uniform(-0.35, 0.35), rng.uniform(-0.3, 0.4), 1])
        view = norm(cam_o - c)
        m = 2 * n * np.dot(n, view) - view  # mirrored about some normal on the face
        m = norm(m + (0.25 if not nu.get("glare") else 0.04) * rng.standard_normal(3))
        if m[2] < 0.15:
            m = norm(m + [0, 0, 0.5])
        d = rng.uniform(250, 480)
        s = nu.get("lamp_size", rng.uniform(18, 50))
        S["lamp"] = area(
            c + m * d,
            c,
            s,
            s,
            kelvin(nu["lamp_k"])
            * nu["gain"]
            * nu.get("lamp_gain", 1.0)
            * 900
            * (d / 350) ** 2
            * (35 / s) ** 2,
        )
    if "window" in words:
        a = norm([rng.uniform(-1, 1), rng.uniform(-0.6, 1), rng.uniform(0.25, 0.9)])
        S["window"] = area(c + a * 1600, c, 1300, 1000, kelvin(rng.uniform(6500, 9500)) * 5.5 * nu["gain"])
    if "flash" in words:
        r, upv = cam_f
        p = cam_o + r * 11 + upv * 6
        dist = np.linalg.norm(cam_o - c)
        S["flash"] = area(
            p + norm(c - p) * 1.0,
            c,
            5,
            5,
            kelvin(5600) * 700 * (dist / 140) ** 2 * 1.6 * nu["gain"] * nu.get("flash_gain", 1.0),
        )
    # the phone and the person behind it are dark in the mirror of the face
    view = norm(c - cam_o)
    r, upv = cam_f
    ph = cam_o - view * 9
    S["phone"] = {
        "type": "rectangle",
        "to_world": mi.ScalarTransform4f()
        .look_at(origin=list(map(float, ph)), target=list(map(float, ph + view)), up=list(map(float, upv)))
        .translate([-22, -30, 0])
        .scale([36, 76, 1]),
        "b": {
            "type": "twosided",
            "x": {"type": "roughplastic", "diffuse_reflectance": rgb([0.02] * 3), "alpha": 0.1},
        },
    }
    S["person"] = {
        "type": "sphere",
        "center": list(map(float, cam_o - view * 420 - norm(up) * 120)),
        "radius": 190.0,
        "b": {"type": "diffuse", "reflectance": rgb(nu.get("shirt", [0.05, 0.06, 0.09]))},
    }
    return S


class Camera:
    """Pinhole/thin lens; the UPRIGHT picture is W x H."""

    def __init__(s, origin, target, up, eq_mm, W, H, fstop=1.9, focus=None, blur=1.0):
        s.o = np.asarray(origin, float)
        s.W, s.H = W, H
        s.f = norm(np.asarray(target) - s.o)
        s.r = norm(np.cross(s.f, up))
        s.u = np.cross(s.r, s.f)  # right, up in the picture
        dh = 43.267 / 2 / eq_mm  # tan of half the diagonal angle
        s.tx = dh * W / np.hypot(W, H)
        s.ty = dh * H / np.hypot(W, H)
        s.focus = focus or np.linalg.norm(np.asarray(target) - s.o)
        s.ap = 6.0 * (1.0) / fstop / 2 * blur  # real focal length about 6 mm
        s.eq = eq_mm

    def project(s, P):
        d = np.asarray(P) - s.o
        z = d @ s.f
        return np.stack([(d @ s.r / z / s.tx + 1) / 2 * s.W, (1 - d @ s.u / z / s.ty) / 2 * s.H], -1)

    def rays(s, W, H):
        x = ((np.arange(W) + 0.5) / W * 2 - 1) * s.tx
        y = (1 - (np.arange(H) + 0.5) / H * 2) * s.ty
        D = s.f[None, None] + x[None, :, None] * s.r + y[:, None, None] * s.u
        return D / np.linalg.norm(D, axis=-1, keepdims=True)

    def sensor(s, w, h, spp):
        T = mi.ScalarTransform4f().look_at(origin=list(s.o), target=list(s.o + s.f), up=list(s.u))
        return {
            "type": "thinlens",
            "fov": float(2 * np.degrees(np.arctan(s.tx))),
            "fov_axis": "x",
            "to_world": T,
            "aperture_radius": float(max(s.ap, 1e-3)),
            "focus_distance": float(s.focus),
            "near_clip": 1.0,
            "far_clip": 10000.0,
            "film": {
                "type": "hdrfilm",
                "width": w,
                "height": h,
                "rfilter": {"type": "box"},
                "pixel_format": "rgb",
                "component_format": "float32",
            },
            "sampler": {"type": "independent", "sample_count": spp},
        }
