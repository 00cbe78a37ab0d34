/** What an option of the command line is called in the window. */
const NAMES: Readonly<Record<string, string>> = {
  'aperture': 'the marked aperture', 'commanded': 'the move commanded', 'depth-um': 'the depth to cover', 'frame-width': 'the frame width', 'magnification': 'the magnification',
  'output-width': 'the output width', 'pixel-pitch': 'the pixel pitch', 'pupil-ratio': 'the pupil ratio', 'rail-unit': 'the rail unit', 'tilt': 'the tilt', 'units': 'the units per frame',
  'working-distance': 'the working distance', 'overlap': 'the overlap', 'wavelength': 'the wavelength', 'polling': 'polling',
};

/** What helps on the command line alone. */
const ONLY_TYPED = / \(--[a-z-]+\)|; put it in quotes if it holds spaces/g;

/** Sentences of the engine name options of the command line; here the fields of the window take their place. */
export const inWindowWords = (text: string): string => text.replace(ONLY_TYPED, '').replace(/--([a-z][a-z-]*)/g, (option, name: string) => NAMES[name] ?? option);
