import path from 'node:path';
import { describe, expect, it } from 'vitest';
import { isFrameName, isRawName } from '../../src/io/frame-formats.js';
import { isInside } from '../../src/io/is-inside.js';
import { settingsFolder } from '../../src/io/settings-folder.js';

describe('settingsFolder', () => {
  // XDG Base Directory Specification 0.8; Apple's Application Support; Windows' APPDATA.
  it.each([
    ['linux', {}, '/home/anna/.config/rungwise'],
    ['linux', { XDG_CONFIG_HOME: '/conf' }, '/conf/rungwise'],
    ['linux', { XDG_CONFIG_HOME: 'relative' }, '/home/anna/.config/rungwise'],
    ['linux', { XDG_CONFIG_HOME: '' }, '/home/anna/.config/rungwise'],
    ['darwin', {}, '/home/anna/Library/Application Support/rungwise'],
    ['win32', { APPDATA: 'D:\\Data' }, 'D:\\Data\\rungwise'],
    ['linux', { RUNGWISE_SETTINGS: '/other' }, '/other'],
  ] as const)('on %s with %o', (platform, env, expected) => expect(settingsFolder(env, platform, '/home/anna')).toBe(expected));
  it('has a home on Windows without APPDATA', () => expect(settingsFolder({}, 'win32', 'C:\\Users\\anna')).toBe('C:\\Users\\anna\\AppData\\Roaming\\rungwise'));
});

describe('isInside by the rules of', () => {
  // Microsoft's "Naming Files, Paths, and Namespaces": drives, shares, either slash, no difference between cases.
  it.each([
    ['C:\\shots\\stack\\r.json', 'C:\\shots\\stack', true], ['c:\\Shots\\STACK\\r.json', 'C:\\shots\\stack', true], ['C:/shots/stack/deep/r.json', 'C:\\shots\\stack', true],
    ['C:\\shots\\stack2\\r.json', 'C:\\shots\\stack', false], ['D:\\shots\\stack\\r.json', 'C:\\shots\\stack', false], ['C:\\shots\\stack\\..\\r.json', 'C:\\shots\\stack', false],
    ['\\\\nas\\pictures\\stack\\r.json', '\\\\nas\\pictures\\stack', true], ['\\\\nas\\pictures\\r.json', '\\\\nas\\other', false], ['C:\\r.json', 'C:\\', true], ['C:\\shots\\stack\\..name.json', 'C:\\shots\\stack', true],
  ])('Windows: %s in %s is %s', (file, folder, expected) => expect(isInside(file, folder, path.win32)).toBe(expected));
  it.each([
    ['/shots/stack/r.json', '/shots/stack', true], ['/shots/stack2/r.json', '/shots/stack', false], ['/shots/stack', '/shots/stack', false], ['/shots', '/shots/stack', false],
    ['/shots/stack/..r.json', '/shots/stack', true], ['/shots/back\\slash/r.json', '/shots/back', false], ['/r.json', '/', true],
  ])('Linux and macOS: %s in %s is %s', (file, folder, expected) => expect(isInside(file, folder, path.posix)).toBe(expected));
});

describe('file names as other systems write them', () => {
  it('count in any case, and by their last ending', () => {
    for (const name of ['IMG_1.JPG', 'img_1.Jpeg', 'P1.NEF', 'a.b.tiff']) expect(isFrameName(name), name).toBe(true);
    expect(isRawName('P1.NeF')).toBe(true);
  });
  it('of the system’s own making are no frames: companions of macOS, thumbnails and settings of Windows', () => {
    for (const name of ['._IMG_1.JPG', '.DS_Store', 'Thumbs.db', 'desktop.ini', 'IMG_1.JPG.part', 'IMG_1.jpg~', 'jpg']) expect(isFrameName(name), name).toBe(false);
  });
});
