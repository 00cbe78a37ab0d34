import { CLEARANCE_CAUTION, ONE_SIDE_ADVICE } from '../../src/optics/cautions.js';

/** How to shoot a stack that tells what a rail does. */
export function RailHowTo() {
  return (
    <section aria-label="How to shoot such a stack">
      <h2>How to shoot such a stack</h2>
      <ol>
        <li>Take something flat with fine, even texture: a cut stone, printed paper, the field of a coin.</li>
        <li>Tilt it, 30 to 45 degrees, so that its depth runs through the whole picture. Set the angle with a wedge or a gauge and enter it: lengths then come from the picture itself, and neither aperture nor pupil ratio matters.</li>
        <li>Shoot 20 frames or more in even moves of half a depth of field or so, all one way.</li>
        <li>To see the slack, turn back half-way and shoot as many frames back.</li>
        <li>Change nothing meanwhile: light, aperture, target.</li>
      </ol>
      <div className="caution" role="note"><p>{CLEARANCE_CAUTION}</p><p>{ONE_SIDE_ADVICE}</p></div>
    </section>
  );
}
