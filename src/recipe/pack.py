"""Packs rendered photos for the training machine: 640-px JPEG, masks, truth. pack.py OUT SRC..."""

import sys, json, glob, os, numpy as np, cv2, pickle

out = []
for src in sys.argv[2:]:
    for jf in sorted(glob.glob(src + "/*.json")):
        if jf.endswith("index.json"):
            continue
        j = json.load(open(jf))
        p = jf[:-5]
        if os.path.basename(p)[4:] in ("0018", "0082", "0178", "0557", "0206", "0230") and "t41" in p:
            continue
        im = cv2.imread(p + ".jpg")  # orientation applied by OpenCV
        if im is None:
            continue
        h, w = im.shape[:2]
        assert [w, h] == j["upright_size"], (p, im.shape)
        k = 560 / max(h, w)
        im = cv2.resize(im, (round(w * k), round(h * k)), interpolation=cv2.INTER_AREA) if k < 1 else im
        k = im.shape[1] / w
        fm = cv2.imread(p + ".face.png", 0)
        cm = cv2.imread(p + ".compound.png", 0)
        sz = (im.shape[1] // 2, im.shape[0] // 2)
        rz = lambda m: (cv2.resize(m, sz, interpolation=cv2.INTER_AREA) > 127).astype(np.uint8)
        fm, cm = rz(fm), rz(cm)
        pts = None
        if j["face_corners_px"]:
            pts = (
                np.array(j["face_corners_px"] + [j["face_tip_edge_px"][4], j["face_base_edge_px"][4]]) * k
            ).tolist()
        out.append(
            dict(
                name=os.path.basename(p),
                jpg=cv2.imencode(".webp", im, [cv2.IMWRITE_WEBP_QUALITY, int(os.environ.get("Q", "70"))])[
                    1
                ].tobytes(),
                face=np.packbits(fm),
                comp=np.packbits(cm),
                size=im.shape[:2],
                pts=pts,
                why=j["why_unreadable"],
                method=j["method"],
                pattern=j["pattern"],
                vis=j["visible_fraction"],
                prof=j["clean_profile"],
                tip=j["tip_direction"],
                grip=j.get("grip"),
            )
        )
pickle.dump(out, open(sys.argv[1], "wb"))
print(len(out), os.path.getsize(sys.argv[1]) / 1e6)
