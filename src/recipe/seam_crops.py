"""Packs the faces of rendered photos with what is beside them: 320 px, the face in the middle half. seam_crops.py OUT DIR..."""

import sys, json, glob, os, pickle, numpy as np, cv2

SIDE = 320


def crop(im, corners, border=(128, 128, 128)):
    lo, hi = SIDE / 4, SIDE * 3 / 4
    to = np.float32([[lo, lo], [hi, lo], [hi, hi], [lo, hi]]) - 0.5
    H = cv2.getPerspectiveTransform(np.float32(corners), to)
    k = int(np.clip(np.ceil(np.sqrt(cv2.contourArea(np.float32(corners))) / (hi - lo)), 1, 4))
    M = np.array([[k, 0, (k - 1) / 2], [0, k, (k - 1) / 2], [0, 0, 1]]) @ H
    x = cv2.warpPerspective(im, M, (SIDE * k, SIDE * k), flags=cv2.INTER_LINEAR, borderValue=border)
    return cv2.resize(x, (SIDE, SIDE), interpolation=cv2.INTER_AREA)


if __name__ == "__main__":
    out = []
    for src in sys.argv[2:]:
        for f in sorted(glob.glob(src + "/*.json")):
            j = json.load(open(f)) if not f.endswith("index.json") else {}
            im = cv2.imread(f[:-5] + ".jpg") if j.get("face_corners_px") else None
            if im is None:
                continue
            x = crop(im, j["face_corners_px"])
            inside = crop(np.full(im.shape[:2], 255, np.uint8), j["face_corners_px"], 0)[::2, ::2] > 127
            out.append(
                dict(
                    jpg=cv2.imencode(".webp", x, [cv2.IMWRITE_WEBP_QUALITY, 88])[1].tobytes(),
                    ins=np.packbits(inside),
                    method=j["method"],
                    seam=j.get("seam"),
                    why=j["why_unreadable"],
                )
            )
    pickle.dump(out, open(sys.argv[1], "wb"))
    print(len(out))
