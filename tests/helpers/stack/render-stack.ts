import { exposeScene } from '../render/expose-scene.js';
import { OtfTable } from '../render/otf-table.js';
import { Random } from '../render/random.js';
import { recordPicture } from '../render/sensor.js';
import { takePicture } from '../render/take-picture.js';
import type { PlannedStack } from './planned-stack.js';

const tables = new Map<number, OtfTable>();

/** Renders all frames; `onFrame` gets 8-bit sRGB pixels (rows × columns × 3), not necessarily in file order. */
export async function renderStack(stack: PlannedStack, onFrame: (fileIndex: number, pixels: Uint8Array) => Promise<void>): Promise<void> {
  const aberration = stack.lens.sphericalWaves;
  if (!tables.has(aberration)) tables.set(aberration, new OtfTable(aberration));
  for (let s = 0; s < stack.scenes.length; s++) {
    const ids = stack.frames.flatMap((f, i) => (f.scene === s ? [i] : []));
    if (ids.length === 0) continue;
    const scene = stack.scenes[s], waiting: Promise<void>[] = [];
    exposeScene(scene, stack.lens, ids.map((i) => stack.frames[i].pose), tables.get(aberration)!, (k, light) => {
      const { pose, gain } = stack.frames[ids[k]];
      const picture = light.map((plane) => takePicture(plane, scene, pose, stack.picture.rows, stack.picture.columns));
      const random = new Random(stack.noiseSeed * 1009 + ids[k]);
      waiting.push(onFrame(ids[k], recordPicture(picture, stack.picture.rows, stack.picture.columns, gain, stack.sensor, random)));
    });
    await Promise.all(waiting);
  }
}
