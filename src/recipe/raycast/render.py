"""One batch of pictures: jaw, film, light and surroundings put together, with the truth."""

import torch
from .base import Rng, V, V3, tex, smooth
from .camera import Camera
from .jaw import Jaw
from .light import Lamps, Surroundings
from .film import Film
from .metal import Compound, Metal, grained
from . import scene

# Median difference of the logarithms of paint and bare metal on the face, in the strongest channel, below which nobody can tell
# them apart in a photo: 0.12 is an eighth, less than the grain and fall-off of light make up by themselves (assumption).
ALIKE = 0.12


class World:
    """What the pictures are made of, on one device: films, noise, environment maps, photographs, metal."""

    def __init__(s, dev, films, maps=None, photos=None, tiles=None):
        s.dev, s.films, s.maps, s.tiles = dev, films, maps, tiles
        s.photos = None if photos is None else scene.Photographs(photos)


def render(B, S, world, bank, captured=False, pick=None):
    """`captured`: in light from environment maps, else under lamps. `pick`: which films, else any.
    Linear pictures (B,S,S,3), exposure not yet applied."""
    dev = world.dev
    r = Rng(B, dev)
    pick = r.i(world.films["t"].shape[0]) if pick is None else pick
    jaw = Jaw(r, world.films["L"][pick], world.films["W"][pick])
    cam = Camera(r, jaw.L, jaw.W, jaw.zc, S)
    jaw.trace(cam)
    n, t, bt, line, lined = grained(r, jaw, bank)
    film = Film(r, jaw, world.films, pick, bank, world.photos)
    metal = Metal(r, jaw, bank, world.tiles)
    paint = Compound(r, bank, jaw, metal.bare_jaw)
    light = Surroundings(r, world.maps, world.photos, metal.along) if captured else Lamps(r)
    view = -cam.rays
    a, b = metal.widths(lined)
    spec = light.radiance(jaw.P, view, n, t, bt, a, b, line)
    irr = light.irradiance(n)
    gloss = light.radiance(jaw.P, view, n, t, bt, a * 0 + 0.25, b * 0 + 0.3, gloss=True)
    col, bare = paint.over(film.t, metal, spec, gloss, irr)
    alike = _alike(jaw, paint, gloss, irr, bare)
    dark = irr * 0.03 + 0.02 * spec
    col = torch.where(jaw.hole[..., None], dark, col)
    for z in (r.u(-0.35, -0.2), r.u(-0.8, -0.6)):  # bolt holes in the tip surface
        hole = jaw.ontip & (torch.hypot(jaw.x, jaw.z - V(z * jaw.D)) < V(r.u(4, 9))) & (V(r.p(0.5)) > 0)
        col = torch.where(hole[..., None], dark, col)
    col = _shade(r, jaw, bank, col)
    lit = light.irradiance(torch.tensor([0.0, 0, 1], device=dev).expand(B, 1, 1, 3))
    back, ground, sc = scene.backdrop(r, cam, jaw, light, bank, world.photos, lit)
    block, over, there = scene.neighbour(r, cam, jaw, light, bank, world.photos, metal.colour)
    img = torch.where(jaw.hit[..., None], col, back)
    img = torch.where(over[..., None], block, img)
    nojaw = r.p(0.1)
    img = torch.where(V(nojaw)[..., None] > 0, torch.where(there[..., None], block, back), img)
    weave = (1 + 0.35 * tex(bank, r.i(16), ground[..., 0] / sc, ground[..., 1] / sc))[..., None].clamp(0.2)
    img, hidden = scene.occluders(r, cam, img, lit, weave)
    vis = jaw.onface & (hidden < 0.5) & (V(nojaw) == 0)
    return dict(img=torch.nan_to_num(img, 0, 40, 0).clamp(0, 40), **_truth(cam, jaw, film, vis, nojaw, alike), paint=film.paint & ~over & (hidden < 0.5) & (V(nojaw) == 0), seam_seen=_seam_seen(film, over, hidden, vis))


def _seam_seen(film, over, hidden, vis):
    """Whether paint on the seam shows at all: on average a third of a pixel along all of the face's outline, or more. What nobody can
    see teaches the seam network nothing."""
    paint = (film.paint & ~over & (hidden < 0.5)).float().sum((1, 2))
    outline = 4 * vis.float().sum((1, 2)).clamp(min=1).sqrt()
    return paint > outline / 3


def _alike(jaw, paint, gloss, irr, bare):
    """Whether thick paint and the bare face can't be told apart in this light."""
    thick = paint.thick(torch.full_like(jaw.x, 15.0), gloss, irr)
    d = (torch.log(thick.clamp(min=0) + 0.004) - torch.log(bare.clamp(min=0) + 0.004)).abs().amax(-1)
    on = jaw.onface.flatten(1)
    d = torch.where(on, d.flatten(1), torch.nan)
    return torch.nan_to_num(torch.nanmedian(d, dim=1).values, 9.0) < ALIKE


def _shade(r, jaw, bank, col):
    """Dark corner at the base, fall-off of the light, a cast shadow."""
    x, y, z = jaw.x, jaw.y, jaw.z
    corner = 1 - V(r.u(0.1, 0.7)) * torch.exp(-(y.abs()) / V(r.u(0.5, 3))) * (y < 2.0) * jaw.front
    fall = 1 + V(r.u(-0.4, 0.4)) * (x / V(jaw.W)) + V(r.u(-0.4, 0.4)) * ((y - V(jaw.L) / 2) / V(jaw.L))
    edge = tex(bank, r.i(4), x / 260 + V(r.u(0, 1)), (y + z) / 260 + V(r.u(0, 1)))
    cast = 1 - V(r.u(0.2, 0.85) * r.p(0.3)) * smooth(edge, -0.1, 0.15 + 0 * x[:1])
    return col * (corner * fall.clamp(0.15) * cast)[..., None]


def _truth(cam, jaw, film, vis, nojaw, alike):
    corners = ((0, 0), (1, 0), (1, 1), (0, 1), (0.5, 0), (1, 0.5), (0.5, 1), (0, 0.5))
    g = [0.04 + 0.92 * i / 9 for i in range(10)]
    inside = cam.project(torch.stack([jaw.surface(a, b) for a in g for b in g], 1))
    return dict(
        face=vis,
        comp=film.truth & vis,
        pts=cam.project(torch.stack([jaw.surface(*c) for c in corners], 1)),
        nojaw=nojaw > 0,
        clean=film.clean,
        smear=film.smear,
        alike=alike,
        convex=jaw.convex > 0,
        share=vis.float().sum((1, 2)) / jaw.onface.float().sum((1, 2)).clamp(min=1),
        seep=film.seep,
        painted=film.painted,
        inframe=((inside > 0) & (inside < cam.S)).all(-1).float().mean(1),
        others=torch.stack([cam.project(q) for q in jaw.other_faces()], 1),
    )
