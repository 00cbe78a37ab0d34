import path from 'node:path';
import { createRequire } from 'node:module';
import { fileURLToPath } from 'node:url';
import { app, dialog, ipcMain, Menu, protocol, session } from 'electron';
import { checkedMessages } from '../src/serve/checked-messages.js';
import { loadStaticFiles } from '../src/serve/http/static-files.js';
import { printVerdict } from '../src/cli/print-verdict.js';
import { findRigCard } from '../src/io/find-rig-card.js';
import { rigCardInfo } from '../src/io/rig-card-store.js';
import { openWindowBackend } from '../src/serve/open-window-backend.js';
import { answerIpc } from './answer-ipc.js';
import { lockSession, openWindow } from './open-window.js';
import { startFolder } from './start-folder.js';
import { startWords } from './start-words.js';
import { windowAnswer } from './window-answer.js';

const { version } = createRequire(import.meta.url)('../../package.json') as { version: string };
const files = loadStaticFiles(path.join(path.dirname(fileURLToPath(import.meta.url)), '..', 'renderer'));
const named = startWords(process.argv.slice(app.isPackaged ? 1 : 2));

const leaving = new AbortController();

app.enableSandbox();
protocol.registerSchemesAsPrivileged([{ scheme: 'rungwise', privileges: { standard: true, secure: true, supportFetchAPI: true } }]);
// macOS hands over a double-clicked report this way, elsewhere it is a word behind the program's.
let handedOver: string | null = null;
app.on('open-file', (event, file) => { event.preventDefault(); handedOver = file; });
await app.whenReady();
const folder = await startFolder(named.folder ?? handedOver, (line) => dialog.showErrorBox('Rungwise', line));

const backend = openWindowBackend({
  version, folder, rigCard: named.rig === null ? null : rigCardInfo(await findRigCard(named.rig)),
  pickFolder: async () => (await dialog.showOpenDialog({ title: 'Open a stack', properties: ['openDirectory'] })).filePaths[0] ?? null,
});
// Frames are read while the window is still built.
backend.readAhead();
answerIpc(ipcMain, checkedMessages(backend));
protocol.handle('rungwise', (request) => windowAnswer(files, request.url));
lockSession(session.defaultSession);
if (process.platform !== 'darwin') Menu.setApplicationMenu(null);
openWindow();
if (named.printVerdict) void printVerdict(backend, process.stdout, leaving.signal);

app.on('window-all-closed', () => app.quit());
app.on('will-quit', () => { leaving.abort(); void backend.close(); });
