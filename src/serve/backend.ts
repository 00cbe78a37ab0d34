import type { BytesMap, CallMap, CallName, Messages, StreamMap, StreamName } from '../contract/channels.js';
import { UserError } from '../contract/errors.js';
import type { AnalysisEvent, RigCardInfo, Settings } from '../contract/host.js';
import type { Report } from '../contract/report.js';
import { cardForCamera } from '../optics/card-for-camera.js';
import { analyseRail } from '../diagnosis/rail-analysis.js';
import type { OpenAnalysis } from './analysis-port.js';
import { exportReport } from './export-report.js';
import { listFolders } from './folders/list-folders.js';
import { locateDrop } from './folders/locate-drop.js';
import { RecentStacks } from './folders/recent-stacks.js';
import { pictureOfStack } from './pictures/picture-of-stack.js';
import type { RigCardStore } from './rig-card-store.js';
import { StackRegistry, type OpenStack } from './stacks/stack-registry.js';
import type { WatchFolder } from './watch-port.js';

export interface BackendOptions {
  version: string;
  settingsFolder: string;
  openAnalysis: OpenAnalysis;
  rigCards: RigCardStore;
  watchFolder: WatchFolder;
  /** The folder and rig card named when the program was started. */
  folder: string | null;
  rigCard: RigCardInfo | null;
  /** The system's folder dialog, where there is one. */
  pickFolder?: () => Promise<string | null>;
}

type CallHandlers = { [N in CallName]: (ask: CallMap[N]['ask']) => Promise<CallMap[N]['answer']> };
type StreamHandlers = { [N in StreamName]: (ask: StreamMap[N]['ask'], onEvent: (event: StreamMap[N]['event']) => void, signal: AbortSignal) => Promise<void> };

export interface Backend extends Messages {
  /** The card it was started with. */
  readonly rigCard: RigCardInfo | null;
  /** Analyses the folder named at the start before any window asks; a window that does then shares it. */
  checkAtStart(signal: AbortSignal): Promise<Report>;
  /** The same for the window's sake alone: its first question takes over, and stopping it there stops it. */
  readAhead(): void;
  close(): Promise<void>;
}

/** Everything a window may ask, answered; the same for Electron and for the loopback server. */
export function createBackend(options: BackendOptions): Backend {
  const stacks = new StackRegistry(options.openAnalysis);
  const recent = new RecentStacks(options.settingsFolder);

  const calls: CallHandlers = {
    'start': async () => ({
      version: options.version, folderDialog: options.pickFolder !== undefined, folder: options.folder, rigCard: options.rigCard,
      recent: await recent.list(), rigCards: await options.rigCards.list(),
    }),
    'pick-folder': async () => (options.pickFolder ? options.pickFolder() : null),
    'list-folders': ({ folder }) => listFolders(folder),
    'locate-drop': async ({ name, files }) => locateDrop(name, files, (await recent.list()).map((stack) => stack.folder)),
    'open-stack': async ({ folder }) => {
      const { info } = await stacks.open(folder);
      await recent.remember(info.folder);
      return info;
    },
    'recent-stacks': () => recent.list(),
    'forget-stack': ({ folder }) => recent.forget(folder),
    'rail': async ({ stackId, request }) => analyseRail(reportOf(stacks.get(stackId)), request),
    'rig-cards': () => options.rigCards.list(),
    'save-rig-card': ({ card }) => options.rigCards.save(card),
    'rename-rig-card': ({ name, to }) => options.rigCards.rename(name, to),
    'delete-rig-card': async ({ name }) => { await options.rigCards.delete(name); return options.rigCards.list(); },
    'export': async ({ stackId, format, settings }) => exportReport(stacks.get(stackId), format, settings),
  };

  /** Whatever a stack's analysis says, its last report is kept: pictures and exports are made from it. */
  const judged = (stackId: string, judge: 'analyse' | 'regrade', settings: Settings, onEvent: (event: AnalysisEvent) => void, signal: AbortSignal): Promise<Report> => stacks.whileUsing(stackId, async (stack) => {
    const keep = (report: Report): void => {
      const shown = stack.report?.tiles.bestFrame;
      // The preview stays where every tile is still taken from the same frame.
      if (!shown || shown.length !== report.tiles.bestFrame.length || shown.some((frame, t) => frame !== report.tiles.bestFrame[t])) stack.revision++;
      stack.report = report;
    };
    const report = await stack.analysis[judge](settings, (event) => {
      if (event.kind !== 'progress') keep(event.report);
      onEvent(event);
    }, signal);
    keep(report);
    onEvent({ kind: 'report', report });
    return report;
  });

  const ahead = new AbortController();
  const checkAtStart = async (signal: AbortSignal): Promise<Report> => {
    if (options.folder === null) throw new UserError('There is no folder to check.', 'Name the folder that holds the stack.');
    const { info } = await stacks.open(options.folder);
    // As a window does: a card saved for this camera is taken where nothing else was said.
    const rigCard = options.rigCard ?? cardForCamera(await options.rigCards.list(), info.cameraModel);
    return judged(info.stackId, 'analyse', { entered: {}, rigCard, overlap: 0.3, outputWidthPx: null }, () => undefined, signal);
  };

  const streams: StreamHandlers = {
    'analyse': async ({ stackId, settings }, onEvent, signal) => {
      const asked = judged(stackId, 'analyse', settings, onEvent, signal);
      // By now it has joined in, where it is the same folder.
      ahead.abort();
      await asked;
    },
    'regrade': async ({ stackId, settings }, onEvent, signal) => { await judged(stackId, 'regrade', settings, onEvent, signal); },
    'watch': ({ folder, settings }, onEvent, signal) => options.watchFolder(folder, settings, onEvent, signal),
  };

  return {
    rigCard: options.rigCard,
    call: (name, ask) => calls[name](ask),
    stream: (name, ask, onEvent, signal) => streams[name](ask, onEvent, signal),
    bytes: async (_name, ask: BytesMap['picture']['ask'], signal) => pictureOfStack(stacks.get(ask.stackId), ask, signal),
    checkAtStart,
    readAhead: () => { if (options.folder !== null) checkAtStart(ahead.signal).catch(() => undefined); },
    close: async () => { ahead.abort(); await stacks.closeAll(); },
  };
}

function reportOf(stack: OpenStack): Report {
  if (!stack.report) throw new UserError('There is no report yet.', 'Let the analysis finish first.');
  return stack.report;
}
