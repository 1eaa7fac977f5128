"""Drawings of things that are no jaw, in the manner of a phone's camera: boxes, framed pictures, doors, screens, books, beaches,
striped barriers. Three in four were taken for a jaw by version 0.1.0.

    python no_jaw_drawings.py OUT COUNT      # numpy and opencv-python-headless; every drawing follows from its number alone
"""
import sys

import cv2
import numpy as np

SIZE = (480, 640)  # rows, columns


def colour(r, grey=0.4):
    if r.random() < grey:
        return np.repeat(r.uniform(20, 235), 3) + r.normal(0, 6, 3)
    hsv = np.uint8([[[r.integers(180), r.integers(60, 255), r.integers(40, 240)]]])
    return cv2.cvtColor(hsv, cv2.COLOR_HSV2BGR)[0, 0].astype(float)


def waves(r, scale):
    """Smooth noise, mean 0, deviation 1."""
    small = r.normal(size=(max(2, int(SIZE[0] / scale)), max(2, int(SIZE[1] / scale)))).astype(np.float32)
    big = cv2.resize(small, SIZE[::-1], interpolation=cv2.INTER_CUBIC)
    return (big - big.mean()) / (big.std() + 1e-6)


def quad(r):
    """A rectangle seen a little askew, as four corners clockwise from the top left."""
    rows, cols = SIZE
    w, h = r.uniform(0.25, 0.6) * cols, r.uniform(0.3, 0.75) * rows
    c = np.array([cols / 2 + r.uniform(-0.12, 0.12) * cols, rows / 2 + r.uniform(-0.08, 0.08) * rows])
    a = r.normal(0, 0.12)
    turn = np.array([[np.cos(a), -np.sin(a)], [np.sin(a), np.cos(a)]])
    corners = np.array([[-w, -h], [w, -h], [w, h], [-w, h]]) / 2 @ turn.T + c
    return (corners + r.normal(0, 0.03 * min(w, h), (4, 2))).astype(np.float32)


def surface(r, kind, n=300):
    """What is painted on the rectangle, n by n."""
    y, x = np.mgrid[0:n, 0:n] / n
    page = np.ones((n, n, 3)) * colour(r)
    if kind == "two tones":
        edge = r.uniform(0.2, 0.8) + 0.02 * np.sin(x * r.uniform(3, 30))
        page[y > edge] = colour(r, 0.1)
    elif kind == "bands":
        for at in np.sort(r.uniform(0, 1, r.integers(2, 5))):
            page[y > at] = colour(r, 0.3)
    elif kind == "framed":
        page[(np.abs(x - 0.5) < 0.4) & (np.abs(y - 0.5) < 0.4)] = colour(r, 0.1)
        page[(np.abs(x - 0.5) < 0.33) & (np.abs(y - 0.5) < 0.33)] = colour(r, 0.6)
    elif kind == "margin":
        rim = (x < 0.05) | (x > 0.95) | (y < 0.05)
        page[rim] = colour(r, 0.0)
    elif kind == "lines":
        page *= (1 + 0.12 * np.sign(np.sin(y * r.uniform(40, 300))))[..., None]
        page[y > r.uniform(0.3, 0.9)] = colour(r, 0.1)
    page *= (1 + r.uniform(-0.4, 0.4) * (x - 0.5) + r.uniform(-0.4, 0.4) * (y - 0.5))[..., None]
    # Sheen, as on painted board or a roller.
    page += (r.uniform(0, 90) * np.exp(-((x - r.uniform(0.2, 0.8)) / r.uniform(0.05, 0.3)) ** 2))[..., None]
    return page.clip(0, 255).astype(np.float32)


KINDS = ["plain", "two tones", "bands", "framed", "margin", "lines"]


def drawing(number):
    r = np.random.default_rng(number)
    picture = np.ones((*SIZE, 3)) * colour(r) * (1 + 0.25 * waves(r, 60) * r.uniform(0, 1))[..., None]
    if r.random() < 0.4:  # a horizon
        at = int(r.uniform(0.3, 0.7) * SIZE[0])
        picture[at:] = colour(r) * (1 + 0.1 * waves(r, 8))[at:, :, None]
    for _ in range(r.integers(1, 3)):
        corners, page = quad(r), surface(r, KINDS[r.integers(len(KINDS))])
        n = page.shape[0]
        if r.random() < 0.5:  # thickness: a box, a frame, a book
            thick = corners + r.uniform(-40, 40, 2).astype(np.float32)
            hull = cv2.convexHull(np.concatenate([corners, thick])).astype(int)
            cv2.fillConvexPoly(picture, hull, (colour(r) * 0.6).tolist())
        to = cv2.getPerspectiveTransform(np.float32([[0, 0], [n, 0], [n, n], [0, n]]), corners)
        laid = cv2.warpPerspective(page, to, SIZE[::-1], flags=cv2.INTER_AREA)
        mask = cv2.warpPerspective(np.ones((n, n), np.float32), to, SIZE[::-1])[..., None]
        picture = picture * (1 - mask) + laid * mask
    picture = cv2.GaussianBlur(picture, (0, 0), r.uniform(0.4, 1.4)) + r.normal(0, r.uniform(1, 7), picture.shape)
    return picture.clip(0, 255).astype(np.uint8)


if __name__ == "__main__":
    out, count = sys.argv[1], int(sys.argv[2])
    for number in range(count):
        cv2.imwrite(f"{out}/{number:04}.jpg", drawing(number), [cv2.IMWRITE_JPEG_QUALITY, 85])
