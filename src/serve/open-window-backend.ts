import { rigCardFolder } from '../io/find-rig-card.js';
import { settingsFolder } from '../io/settings-folder.js';
import { pickRigCard } from '../io/pick-rig-card.js';
import type { PickedRig } from '../io/watch-folder.js';
import { folderStamp } from './analysis/folder-stamp.js';
import { openAnalysis } from './analysis/open-analysis.js';
import { rigOfSettings } from './analysis/rig-of-settings.js';
import { shareAnalyses } from './analysis/share-analyses.js';
import { createBackend, type BackendOptions } from './backend.js';

/** The backend with the real engine, rig cards and watcher behind it; what Electron and the loopback server both use. */
export function openWindowBackend(options: Pick<BackendOptions, 'version' | 'folder' | 'rigCard' | 'pickFolder'>): ReturnType<typeof createBackend> {
  return createBackend({
    ...options,
    settingsFolder: settingsFolder(),
    openAnalysis: shareAnalyses(openAnalysis, folderStamp),
    rigCards: rigCardFolder(),
    watchFolder: async (folder, settings, onEvent, signal) => {
      const pickRig = async (): Promise<PickedRig> => {
        const found = settings.rigCard === null ? await pickRigCard(folder) : null;
        return { rig: rigOfSettings({ ...settings, rigCard: found?.card ?? settings.rigCard }), card: found === null ? null : { name: found.card.name, pickedFor: found.cameraModel } };
      };
      // With all of the engine behind it, which checking leaves to a thread.
      const { watchFolder } = await import('../io/watch-folder.js');
      await watchFolder(folder, { rig: rigOfSettings(settings), pickRig, overlap: settings.overlap, outputWidthPx: settings.outputWidthPx }, onEvent, signal);
    },
  });
}
