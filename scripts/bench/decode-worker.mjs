// Bare decoding, the floor that the whole analysis is compared with: raw RGB by sharp, nothing kept.
import { parentPort } from 'node:worker_threads';
import sharp from 'sharp';

sharp.cache(false);
sharp.concurrency(1);
parentPort.on('message', async (file) => {
  const { info } = await sharp(file).raw().toBuffer({ resolveWithObject: true });
  parentPort.postMessage(info.width * info.height);
});
