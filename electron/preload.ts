import { contextBridge, ipcRenderer, webUtils } from 'electron';
import { BRIDGE_NAME } from '../src/contract/bridge.js';
import { makeBridge } from './make-bridge.js';

contextBridge.exposeInMainWorld(BRIDGE_NAME, makeBridge(ipcRenderer, webUtils));
