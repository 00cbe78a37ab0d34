import type { BytesMap, CallMap, CallName, Messages, StreamMap, StreamName } from '../contract/channels.js';
import type { RigCardInfo } from '../contract/host.js';
import type { OpenAnalysis } from './analysis-port.js';
import { exportReport } from './export-report.js';
import { listFolders } from './folders/list-folders.js';
import { locateDrop } from './folders/locate-drop.js';
import { RecentStacks } from './folders/recent-stacks.js';
import { pictureOfStack } from './pictures/picture-of-stack.js';
import type { RigCardStore } from './rig-card-store.js';
import { StackRegistry } from './stacks/stack-registry.js';
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

/** Everything a window may ask, answered; the same for Electron and for the loopback server. */
export function createBackend(options: BackendOptions): Messages & { close(): Promise<void> } {
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
    'regrade': async ({ stackId, settings }) => {
      const stack = stacks.get(stackId);
      stack.report = await stack.analysis.regrade(settings);
      stack.revision++;
      return stack.report;
    },
    'rig-cards': () => options.rigCards.list(),
    'save-rig-card': ({ card }) => options.rigCards.save(card),
    'export': async ({ stackId, format }) => exportReport(stacks.get(stackId), format),
  };

  const streams: StreamHandlers = {
    'analyse': async ({ stackId, settings }, onEvent, signal) => {
      const stack = stacks.get(stackId);
      const report = await stack.analysis.analyse(settings, (event) => {
        if (event.kind !== 'progress') { stack.report = event.report; stack.revision++; }
        onEvent(event);
      }, signal);
      stack.report = report;
      stack.revision++;
      onEvent({ kind: 'report', report });
    },
    'watch': ({ folder, settings }, onEvent, signal) => options.watchFolder(folder, settings, onEvent, signal),
  };

  return {
    call: (name, ask) => calls[name](ask),
    stream: (name, ask, onEvent, signal) => streams[name](ask, onEvent, signal),
    bytes: async (_name, ask: BytesMap['picture']['ask']) => pictureOfStack(stacks.get(ask.stackId), ask),
    close: () => stacks.closeAll(),
  };
}
