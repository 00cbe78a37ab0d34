import { CancelledError } from '../../src/contract/errors.js';
import type { DroppedFolder, ExportFormat, Host, RigCardInfo, RigField, Settings } from '../../src/contract/host.js';
import type { Report } from '../../src/contract/report.js';
import { cardForCamera } from '../../src/optics/card-for-camera.js';
import type { PicturePoint } from '../../src/optics/depth-profile.js';
import { saveFile } from '../host/save-file.js';
import { addressOf, readAddress } from './address-hash.js';
import { firstPick, pickMark, pickTile, validPick, type Picked } from './pick.js';
import { problemWords } from './problem-words.js';
import { RailRun } from './rail-run.js';
import { recall, remember } from './remembered.js';
import { harmfulGaps } from './report-reading.js';
import { WatchRun } from './watch-run.js';
import { INITIAL_STATE, type Mark, type Screen, type WindowState } from './window-state.js';

const REGRADE_WAIT_MS = 60;

/**
 * The window's state and everything that changes it. One store, outside the drawing: screens are functions of what it holds.
 * Longer than most files because every action of the window is here, in one list.
 */
export class WindowStore {
  private state: WindowState = INITIAL_STATE;
  private readonly listeners = new Set<() => void>();
  private running: AbortController | null = null;
  private regradeTimer: ReturnType<typeof setTimeout> | undefined;
  private refining: AbortController | null = null;
  /** A place asked for by the address, until the report that has it is there. */
  private wanted: Picked | null = null;
  private startFolder: string | null = null;
  /** How many folders were asked for: an answer to any but the last comes too late. */
  private opened = 0;

  readonly rail = new RailRun(this);
  readonly watch = new WatchRun(this);

  constructor(readonly host: Host) {}

  readonly getState = (): WindowState => this.state;
  readonly subscribe = (listener: () => void): (() => void) => {
    this.listeners.add(listener);
    return () => this.listeners.delete(listener);
  };

  /** Changes part of the state; the address follows. */
  set(change: Partial<WindowState>): void {
    this.state = { ...this.state, ...change };
    if ('scheme' in change || 'singleKeys' in change || 'sound' in change) remember(this.state);
    if (this.state.phase !== 'starting') {
      const hash = addressOf(this.state);
      if (hash !== location.hash && !(hash === '#' && location.hash === '')) history.replaceState(null, '', hash);
    }
    for (const listener of this.listeners) listener();
  }

  async start(): Promise<void> {
    const address = readAddress(location.hash);
    this.state = { ...this.state, ...recall() };
    try {
      const { folder: named, rigCard, ...info } = await this.host.start();
      const { phase, screen, settings } = this.state;
      const entered = { ...address.entered, ...settings.entered };
      this.set({ ...info, settings: { ...settings, entered, overlap: address.overlap ?? settings.overlap, rigCard: settings.rigCard ?? rigCard } });
      // Whoever was quicker than this answer keeps what was opened; it is only judged by what is known now.
      if (phase !== 'starting') return this.judgeStarted(settings);
      this.set({ screen: screen === INITIAL_STATE.screen ? address.screen : screen, pictureMode: address.pictureMode, phase: 'no-stack' });
      const folder = address.folder ?? named;
      this.wanted = { mark: address.mark, tile: address.tile };
      this.startFolder = folder;
      if (folder && this.state.screen === 'stack') await this.openFolder(folder, this.wanted);
    } catch (error) {
      if (this.state.phase === 'starting') this.fail(error, null);
    }
  }

  private judgeStarted(judgedWith: Settings): void {
    if (this.state.stack) this.takeCardOf(this.state.stack.cameraModel);
    const { settings, phase } = this.state;
    if (phase === 'ready' && JSON.stringify(settings) !== JSON.stringify(judgedWith)) this.regradeSoon();
  }

  /** @param purpose which screen's stack is chosen */
  async chooseFolder(purpose: 'stack' | 'rail' = 'stack'): Promise<void> {
    if (!this.state.folderDialog) return this.set({ dialog: 'open', openFor: purpose, openWhy: null });
    const folder = await this.host.pickFolder();
    if (folder) await this.openFor(folder, purpose);
  }

  /** Opens a folder that was chosen in the list, for whatever it was chosen. */
  async openFor(folder: string, purpose = this.state.openFor): Promise<void> {
    if (purpose === 'stack') return this.openFolder(folder);
    this.set({ dialog: null });
    return this.rail.open(folder);
  }

  async openDrop(drop: DroppedFolder): Promise<void> {
    const folder = await this.host.locateDrop(drop);
    const purpose = this.state.screen === 'rail' ? 'rail' : 'stack';
    if (folder) return this.openFor(folder, purpose);
    this.set({ dialog: 'open', openFor: purpose, openWhy: `A browser keeps to itself where a dropped folder lies, and no single folder called “${drop.name}” was found near your stacks. Choose it here, or paste its whole path.` });
  }

  async openFolder(folder: string, wanted: Picked | null = null, before: Report | null = null): Promise<void> {
    const opened = ++this.opened;
    this.running?.abort();
    this.running = null;
    this.wanted = wanted;
    this.set({ screen: 'stack', phase: 'opening', stack: null, report: null, before, progress: null, problem: null, notice: null, dialog: null, mark: null, tile: null, profile: null, drawing: false });
    try {
      const stack = await this.host.openStack(folder);
      if (opened !== this.opened) return;
      this.set({ stack });
      this.takeCardOf(stack.cameraModel);
      void this.host.recentStacks().then((recent) => this.set({ recent }), () => undefined);
      await this.analyse();
    } catch (error) {
      if (opened === this.opened) this.fail(error, folder);
    }
  }

  /** A card saved for this camera is taken where nothing else was said. */
  private takeCardOf(cameraModel: string | null): void {
    const { settings, rigCards } = this.state;
    const card = cardForCamera(rigCards, cameraModel);
    if (!card || settings.rigCard || Object.keys(settings.entered).length > 0) return;
    this.set({ settings: { ...settings, rigCard: card }, notice: `Rig card “${card.name}” is used: it was saved for this camera.` });
  }

  async analyse(): Promise<void> {
    const { stack, settings } = this.state;
    if (!stack) return;
    this.running?.abort();
    this.refining?.abort();
    const running = new AbortController();
    this.running = running;
    this.set({ phase: 'analysing', regrading: 'no', problem: null, progress: { stage: 'reading', done: 0, all: stack.frames.length, elapsedMs: 0, leftMs: null } });
    try {
      const report = await this.host.analyse(stack.stackId, settings, (event) => {
        if (running.signal.aborted) return;
        if (event.kind === 'progress') this.set({ progress: event.progress });
        if (event.kind === 'partial') this.showReport(event.report, true);
      }, running.signal);
      if (running.signal.aborted) return;
      this.showReport(report, false);
      this.set({ phase: 'ready', progress: null });
      if (this.state.settings !== settings) this.regradeSoon();
    } catch (error) {
      if (this.running !== running) return;
      // What was known so far is no verdict: it goes with the reading that was stopped.
      if (error instanceof CancelledError) this.set({ phase: 'stopped', progress: null, provisional: false, ...(this.state.provisional ? { report: null } : {}) });
      else this.fail(error, stack.folder);
    }
  }

  goTo(screen: Screen): void {
    this.set({ screen, notice: null });
    // A folder named at the start waits until its screen is wanted.
    if (screen === 'stack' && this.state.phase === 'no-stack' && this.startFolder) void this.openFolder(this.startFolder, this.wanted);
  }

  cancel(): void {
    this.running?.abort();
    if (this.state.phase !== 'opening') return;
    this.opened++;
    this.set({ phase: 'no-stack' });
  }

  /** After a top-up: reads the folder anew and keeps the old report to compare with. */
  async checkAgain(): Promise<void> {
    const { stack, report } = this.state;
    if (stack) await this.openFolder(stack.folder, null, report);
  }

  changeSettings(change: Partial<Settings>): void {
    this.set({ settings: { ...this.state.settings, ...change } });
    if (this.state.phase === 'ready' || this.state.rail.report) this.regradeSoon();
  }

  enter(field: RigField, value: number | null): void {
    const entered = { ...this.state.settings.entered };
    if (value === null) delete entered[field];
    else entered[field] = value;
    this.changeSettings({ entered });
  }

  private regradeSoon(): void {
    clearTimeout(this.regradeTimer);
    this.refining?.abort();
    if (this.state.phase === 'ready') this.set({ regrading: 'asked' });
    this.regradeTimer = setTimeout(() => { void this.regrade(); void this.rail.regrade(); }, REGRADE_WAIT_MS);
  }

  private async regrade(): Promise<void> {
    const { stack, settings, phase } = this.state;
    if (!stack || phase !== 'ready') return;
    const refining = this.refining = new AbortController();
    try {
      const report = await this.host.regrade(stack.stackId, settings, (event) => {
        if (event.kind !== 'partial' || refining.signal.aborted) return;
        this.showReport(event.report, false);
        this.set({ regrading: 'refining', notice: null });
      }, refining.signal);
      if (refining.signal.aborted || this.state.stack !== stack) return;
      this.showReport(report, false);
      this.set({ regrading: 'no', notice: null });
    } catch (error) {
      if (!refining.signal.aborted) this.set({ regrading: 'no', notice: problemWords(error, null).message });
    }
  }

  private showReport(report: Report, provisional: boolean): void {
    const kept = validPick(report, this.wanted ?? { mark: this.state.mark, tile: this.state.tile });
    const picked = kept.mark ? pickMark(report, kept.mark, kept.tile) : kept.tile !== null ? { mark: null, tile: kept.tile } : firstPick(report);
    if (!provisional) this.wanted = null;
    // The preview is put together anew only where a tile is taken from another frame.
    const shown = this.state.report?.tiles.bestFrame, next = report.tiles.bestFrame;
    const samePicture = shown !== undefined && shown.length === next.length && shown.every((frame, t) => frame === next[t]);
    this.set({ report, provisional, pictureRevision: this.state.pictureRevision + (samePicture ? 0 : 1), ...(provisional ? {} : picked) });
  }

  mark(mark: Mark): void {
    if (this.state.report) this.set(pickMark(this.state.report, mark, this.state.tile));
  }

  /** Goes to the next missing band, the worst first, round and round. */
  markNextGap(): void {
    const { report, mark } = this.state;
    if (!report) return;
    const gaps = harmfulGaps(report).map((step) => report.steps.indexOf(step));
    if (gaps.length === 0) return this.set({ notice: 'No depth is missing.' });
    const at = mark?.kind === 'step' ? gaps.indexOf(mark.step) : -1;
    this.mark({ kind: 'step', step: gaps[(at + 1) % gaps.length] });
  }

  pickTile(tile: number): void {
    if (this.state.report) this.set(pickTile(this.state.report, tile));
  }

  /** From one place of the picture to another; null takes the line away. */
  setProfile(profile: { from: PicturePoint; to: PicturePoint } | null): void { this.set({ profile, drawing: false }); }

  async saveCard(card: RigCardInfo): Promise<void> {
    try {
      this.set({ rigCards: await this.host.saveRigCard(card), dialog: null, notice: `Rig card “${card.name}” is saved.` });
      this.changeSettings({ rigCard: card, entered: {} });
    } catch (error) {
      this.set({ notice: problemWords(error, null).message });
    }
  }

  /** @returns what went wrong, in words; null where it is done */
  async renameCard(name: string, to: string): Promise<string | null> {
    return this.changeCards(async () => {
      const rigCards = await this.host.renameRigCard(name, to), { settings } = this.state;
      const inUse = settings.rigCard?.name === name ? { settings: { ...settings, rigCard: { ...settings.rigCard, name: to } } } : {};
      this.set({ rigCards, ...inUse });
    });
  }

  /** What the card said stays in force, as if entered. @returns as renameCard */
  async deleteCard(name: string): Promise<string | null> {
    return this.changeCards(async () => {
      this.set({ rigCards: await this.host.deleteRigCard(name) });
      const { rigCard, entered } = this.state.settings;
      if (rigCard?.name === name) this.changeSettings({ rigCard: null, entered: { ...rigCard.values, ...entered } });
    });
  }

  private async changeCards(change: () => Promise<void>): Promise<string | null> {
    try {
      await change();
      return null;
    } catch (error) {
      const { message, remedy } = problemWords(error, null);
      return `${message} ${remedy}`;
    }
  }

  async forget(folder: string): Promise<void> { this.set({ recent: await this.host.forgetStack(folder) }); }

  async exportReport(format: ExportFormat): Promise<void> {
    if (!this.state.stack) return;
    try {
      saveFile(await this.host.exportReport(this.state.stack.stackId, format, this.state.settings));
    } catch (error) {
      const problem = problemWords(error, null);
      this.set({ notice: `${problem.message} ${problem.remedy}` });
    }
  }

  private fail(error: unknown, folder: string | null): void {
    if (error instanceof CancelledError) return this.set({ phase: this.state.stack ? 'stopped' : 'no-stack', progress: null });
    this.set({ phase: 'failed', problem: problemWords(error, folder), progress: null });
  }
}
