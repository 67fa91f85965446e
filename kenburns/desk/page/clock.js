// The playhead: a whole frame of a run of frames, in real time while it plays.

/** Make a playhead; `told(frame)` hears every frame that is to be shown, `stopped()` that it no longer plays. */
export function makeClock({ told, stopped }) {
  let total = 1;
  let rate = 25;
  let frame = 0;
  let request = 0;
  let since = { time: 0, frame: 0 };
  const clock = { loop: false };

  const tell = (next) => {
    frame = next;
    told(frame);
  };
  const tick = (time) => {
    const next = since.frame + Math.floor(((time - since.time) * rate) / 1000);
    if (next >= total && !clock.loop) {
      tell(total - 1);
      clock.pause();
      return;
    }
    if (next % total !== frame) tell(Math.max(next, 0) % total);
    request = requestAnimationFrame(tick);
  };
  clock.play = () => {
    cancelAnimationFrame(request);
    if (frame >= total - 1) tell(0);
    since = { time: performance.now(), frame };
    request = requestAnimationFrame(tick);
  };
  clock.pause = () => {
    cancelAnimationFrame(request);
    request = 0;
    stopped();
  };
  clock.seek = (to) => {
    tell(Math.min(Math.max(to, 0), total - 1));
    since = { time: performance.now(), frame };
  };
  /** Set how many frames there are, and their rate; the playhead stays where it can. */
  clock.set = (frames, perSecond) => {
    [total, rate] = [Math.max(frames, 1), perSecond];
    clock.seek(frame);
  };
  clock.playing = () => request !== 0;
  clock.frame = () => frame;
  return clock;
}
