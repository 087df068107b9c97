import { useSignal } from "@preact/signals";
import { useEffect, useRef } from "preact/hooks";
import { addPhoto, type PhotoFacts } from "../../actions/photos.ts";
import { go } from "../../state/route.ts";
import { ActionButton } from "../parts/ActionButton.tsx";
import { Sitting } from "../parts/Sitting.tsx";
import { say } from "../say.ts";

/** Time to put the blade where it is to be seen. */
const TIMER_S = 3;
/** The camera on the back, about as large as a photo is kept. */
const WANTED = { video: { facingMode: "environment", width: { ideal: 2048 }, height: { ideal: 1536 } } };

/** The camera on the screen: a shutter for a thumb in a glove, or three seconds to let go of the phone. */
export function Camera({ piece_id, facts }: { piece_id: string; facts: PhotoFacts }) {
  const video = useRef<HTMLVideoElement>(null);
  const refused = useSignal(false);
  const left_s = useSignal(0);
  useEffect(() => {
    const asked = navigator.mediaDevices?.getUserMedia(WANTED) ?? Promise.reject();
    const tracks = asked.then(
      (stream) => {
        if (video.current) video.current.srcObject = stream;
        return stream.getTracks();
      },
      () => {
        refused.value = true;
        return [];
      },
    );
    return () =>
      void tracks.then((all) => {
        for (const track of all) track.stop();
      });
  }, []);
  const take = (picture: Blob | ImageBitmap) =>
    void addPhoto(piece_id, picture, facts).then(({ kept }) => kept && go("blade", piece_id));
  const shoot = () => {
    if (video.current?.videoWidth) void createImageBitmap(video.current).then(take);
  };
  const tick = () => {
    left_s.value -= 1;
    if (left_s.value > 0) setTimeout(tick, 1000);
    else shoot();
  };
  const wait = () => {
    left_s.value = TIMER_S + 1;
    tick();
  };
  const foot = (
    <>
      {!refused.value && (
        <ActionButton label={left_s.value > 0 ? `${left_s.value}` : say("photo.shoot")} onPress={shoot} />
      )}
      <div class="answers side">
        {!refused.value && (
          <button type="button" class="plain-button" disabled={left_s.value > 0} onClick={wait}>
            {say("photo.timer", { n: TIMER_S })}
          </button>
        )}
        <label class="plain-button">
          {say("photo.file")}
          <input
            class="unseen"
            type="file"
            accept="image/*"
            capture="environment"
            onChange={({ currentTarget }) => {
              const file = currentTarget.files?.[0];
              if (file) take(file);
              currentTarget.value = "";
            }}
          />
        </label>
      </div>
    </>
  );
  return (
    <Sitting title={say("photo.take")} backTo={["blade", piece_id]} foot={foot}>
      {refused.value ? <p>{say("photo.none")}</p> : <video class="finder" ref={video} autoplay playsinline muted />}
    </Sitting>
  );
}
