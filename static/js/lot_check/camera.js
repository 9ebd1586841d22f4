// A live view, where the browser gives one: codes are found by the browser itself if it can, else by the site, frame by
// frame. Nothing of a frame is kept.

const EVERY_MS = 350;
const WIDEST = 1280;

// A page without https has no camera.
export const there = Boolean(window.isSecureContext && navigator.mediaDevices?.getUserMedia);

async function finder(form) {
  if ("BarcodeDetector" in window && (await BarcodeDetector.getSupportedFormats()).includes("qr_code")) {
    const detector = new BarcodeDetector({ formats: ["qr_code"] });
    return async (video) => (await detector.detect(video)).map((found) => found.rawValue);
  }
  const canvas = document.createElement("canvas");
  return async (video) => {
    const scale = Math.min(1, WIDEST / video.videoWidth);
    canvas.width = video.videoWidth * scale;
    canvas.height = video.videoHeight * scale;
    canvas.getContext("2d").drawImage(video, 0, 0, canvas.width, canvas.height);
    const frame = await new Promise((done) => canvas.toBlob(done, "image/jpeg", 0.85));
    const body = new FormData();
    body.append("photo", frame, "frame.jpg");
    const token = form.elements.csrfmiddlewaretoken.value;
    const answer = await fetch(form.dataset.read, { method: "POST", body, headers: { "X-CSRFToken": token } });
    return answer.ok ? (await answer.json()).codes : [];
  };
}

// Look until stopped; `found` is called with the codes of every frame, `lost` when the camera cannot be used.
export async function look(video, form, found, lost) {
  let going = true;
  const stop = () => {
    going = false;
    video.srcObject?.getTracks().forEach((track) => track.stop());
    video.srcObject = null;
    video.hidden = true;
  };
  try {
    video.srcObject = await navigator.mediaDevices.getUserMedia({ video: { facingMode: "environment" } });
    video.hidden = false;
    await video.play();
    const find = await finder(form);
    const again = async () => {
      if (!going) return;
      try {
        if (video.videoWidth) found(await find(video));
      } catch {
        // The next frame may do.
      }
      setTimeout(again, EVERY_MS);
    };
    again();
  } catch {
    stop();
    lost();
  }
  return stop;
}
