import { createRoot } from 'react-dom/client';
import { chooseHost } from './host/choose-host.js';
import { App } from './screens/app.js';
import { StoreContext } from './state/window-context.js';
import { WindowStore } from './state/window-store.js';
import './styles/window.css';

const store = new WindowStore(chooseHost());
createRoot(document.getElementById('window')!).render(<StoreContext value={store}><App /></StoreContext>);
void store.start();
