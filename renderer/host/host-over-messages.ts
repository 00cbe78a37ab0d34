import type { Messages } from '../../src/contract/channels.js';
import { UserError } from '../../src/contract/errors.js';
import type { AnalysisEvent, DroppedFolder, Host, Settings } from '../../src/contract/host.js';
import type { Report } from '../../src/contract/report.js';

/** The host as the window uses it, over whichever messages carry it. `pathOf` is there only where the system tells where a dropped folder lies. */
export function hostOverMessages(kind: Host['kind'], messages: Messages, pathOf: (handle: unknown) => string | null = () => null): Host {
  const judged = async (how: 'analyse' | 'regrade', stackId: string, settings: Settings, onEvent: (event: AnalysisEvent) => void, signal: AbortSignal): Promise<Report> => {
    let last: Report | null = null;
    await messages.stream(how, { stackId, settings }, (event) => {
      if (event.kind === 'report') last = event.report;
      onEvent(event);
    }, signal);
    if (!last) throw new UserError('The analysis ended without a report.', 'Check the folder again.');
    return last;
  };
  return {
    kind,
    start: () => messages.call('start', null),
    pickFolder: () => messages.call('pick-folder', null),
    listFolders: (folder) => messages.call('list-folders', { folder }),
    locateDrop: async (drop: DroppedFolder) => pathOf(drop.handle) ?? messages.call('locate-drop', { name: drop.name, files: drop.files.slice(0, 50) }),
    openStack: (folder) => messages.call('open-stack', { folder }),
    recentStacks: () => messages.call('recent-stacks', null),
    forgetStack: (folder) => messages.call('forget-stack', { folder }),
    analyse: (stackId, settings, onEvent, signal) => judged('analyse', stackId, settings, onEvent, signal),
    regrade: (stackId, settings, onEvent, signal) => judged('regrade', stackId, settings, onEvent, signal),
    rail: (stackId, request) => messages.call('rail', { stackId, request }),
    watch: (folder, settings, onEvent, signal) => messages.stream('watch', { folder, settings }, onEvent, signal),
    picture: async (request, signal) => {
      const { mediaType, bytes, note } = await messages.bytes('picture', request, signal);
      return { blob: new Blob([bytes as Uint8Array<ArrayBuffer>], { type: mediaType }), note };
    },
    rigCards: () => messages.call('rig-cards', null),
    saveRigCard: (card) => messages.call('save-rig-card', { card }),
    renameRigCard: (name, to) => messages.call('rename-rig-card', { name, to }),
    deleteRigCard: (name) => messages.call('delete-rig-card', { name }),
    exportReport: (stackId, format, settings) => messages.call('export', { stackId, format, settings }),
  };
}
