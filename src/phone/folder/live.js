// The camera's picture before the photo is taken, with what to do about it.

// Wide enough for every refusal to be told as of the photo itself; a larger one takes longer to look at.
const FRAME_PX = 1280;
// The most that a browser may give; it gives what the camera has.
const CAMERA = { video: { facingMode: "environment", width: { ideal: 4096 }, height: { ideal: 3072 } } };
const NO_CAMERA = "The browser does not give this page the camera. Close this, and take the photo with the camera's own button.";

// Only where a page may have the camera: over HTTPS, or on this device.
export function offerLiveView(page) {
  const button = page.querySelector("#look");
  if (!button || !navigator.mediaDevices?.getUserMedia) return;
  for (const input of page.querySelectorAll("form.take input[capture]")) {
    input.form.append(button.content.cloneNode(true));
  }
}

// `glimpse`: a frame's bytes → what is seen in it.
async function open(form, glimpse) {
  const live = document.querySelector("#live");
  const video = live.querySelector("video");
  const shoot = live.querySelector(".shoot");
  say(live, { words: "The camera is being opened…", ready: false, corners: null });
  shoot.disabled = true;
  live.showModal();
  let stream = null;
  const close = () => {
    stream?.getTracks().forEach((track) => track.stop());
    if (video.srcObject === stream) video.srcObject = null;
  };
  live.onclose = close;
  // It may be closed, and opened anew, while the browser still asks for the camera.
  const isOpen = () => live.open && live.onclose === close;
  live.querySelector(".close").onclick = () => live.close();
  try {
    stream = await navigator.mediaDevices.getUserMedia(CAMERA);
    if (!isOpen()) return close();
    video.srcObject = stream;
    await video.play();
  } catch {
    if (isOpen()) say(live, { words: NO_CAMERA, ready: false, corners: null });
    return;
  }
  shoot.disabled = false;
  shoot.onclick = async () => {
    shoot.disabled = true;
    const photo = await taken(stream, video);
    live.close();
    hand(photo, form);
  };
  while (isOpen()) {
    try {
      const frame = await still(video, FRAME_PX);
      const seen = await glimpse(await frame.arrayBuffer());
      if (isOpen()) say(live, seen);
    } catch {
      await new Promise((done) => setTimeout(done, 1000));
    }
  }
}

function say(live, { words, ready, corners }) {
  const state = live.querySelector(".state");
  // Said again it would be read out again.
  if (state.textContent !== words) state.textContent = words;
  state.classList.toggle("good", ready);
  const points = (of) => of.map((point) => point.join(",")).join(" ");
  for (const shape of live.querySelectorAll("polygon")) shape.setAttribute("points", points(corners ?? []));
  live.querySelector("polyline").setAttribute("points", points(corners?.slice(0, 2) ?? []));
}

function still(video, widest = Infinity) {
  const scale = Math.min(1, widest / Math.max(video.videoWidth, video.videoHeight));
  const [width, height] = [video.videoWidth, video.videoHeight].map((px) => Math.round(px * scale));
  const canvas = Object.assign(document.createElement("canvas"), { width, height });
  canvas.getContext("2d").drawImage(video, 0, 0, width, height);
  return new Promise((done, failed) => canvas.toBlob((jpeg) => (jpeg ? done(jpeg) : failed()), "image/jpeg", 0.95));
}

// A photo of the camera's full size where the browser can have one, else what the view shows.
async function taken(stream, video) {
  try {
    return await new ImageCapture(stream.getVideoTracks()[0]).takePhoto();
  } catch {
    return still(video);
  }
}

// As if the camera had been opened by the form's own button.
function hand(photo, form) {
  const files = new DataTransfer();
  files.items.add(new File([photo], "photo.jpg", { type: photo.type }));
  const input = form.querySelector("input[type=file]");
  input.files = files.files;
  input.dispatchEvent(new Event("change"));
}

export function openLiveViews(glimpse) {
  document.addEventListener("click", ({ target }) => {
    const button = target.closest("button.look");
    if (button) open(button.form, glimpse);
  });
  // A phone that is put away keeps no camera open.
  document.addEventListener("visibilitychange", () => document.hidden && document.querySelector("#live")?.close());
}
