import { useMemo } from 'react';
import { Tab, TabList, TabPanel, Tabs } from 'react-aria-components';
import type { Report } from '../../src/contract/report.js';
import { otherFindings } from '../../src/optics/finding-sentence.js';
import { frameLabels } from '../../src/optics/frame-labels.js';
import { mendedByTopUp } from '../../src/optics/mended-by-top-up.js';
import { DepthProfile } from '../panels/depth-profile.js';
import { FocusCurve } from '../panels/focus-curve.js';
import { Frames } from '../panels/frames.js';
import { Ladder } from '../panels/ladder.js';
import { Noticed } from '../panels/noticed.js';
import { Picture } from '../panels/picture.js';
import { Proof } from '../panels/proof.js';
import { RigCard } from '../panels/rig-card.js';
import { Steps } from '../panels/steps.js';
import { TopUp } from '../panels/top-up.js';
import { Verdict } from '../panels/verdict.js';
import { useWindowState } from '../state/window-context.js';

/** The stack: verdict first, then where, then what to do. */
export function StackScreen({ report, scheme }: { report: Report; scheme: 'light' | 'dark' | 'bench' }) {
  const { stack, tile, profile, provisional } = useWindowState();
  const labels = useMemo(() => frameLabels(report.stack.frames.map((frame) => frame.file)), [report]);
  const mended = useMemo(() => mendedByTopUp(report), [report]);
  const findings = useMemo(() => (provisional ? [] : otherFindings(report)), [report, provisional]);
  if (!stack) return null;
  return (
    <main className="stack-screen">
      <Verdict report={report} labels={labels} mended={mended} />
      <Ladder report={report} labels={labels} mended={mended} />
      <div className="middle">
        <Picture report={report} labels={labels} stack={stack} scheme={scheme} />
        {profile ? <DepthProfile report={report} /> : <FocusCurve report={report} tile={tile} />}
      </div>
      <div className="side">
        <TopUp report={report} labels={labels} mended={mended} />
        <Proof report={report} labels={labels} stack={stack} tile={tile} />
        <RigCard optics={report.optics} />
      </div>
      <Tabs className="below">
        <TabList aria-label="Step by step, frame by frame, or what was noticed"><Tab id="steps">Steps</Tab><Tab id="frames">Frames</Tab><Tab id="noticed">Noticed{findings.length > 0 ? `: ${findings.length}` : ''}</Tab></TabList>
        <TabPanel id="steps"><Steps report={report} labels={labels} /></TabPanel>
        <TabPanel id="frames"><Frames report={report} /></TabPanel>
        <TabPanel id="noticed"><Noticed findings={findings} labels={labels} /></TabPanel>
      </Tabs>
    </main>
  );
}
