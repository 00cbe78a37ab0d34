import { readdir } from 'node:fs/promises';
import path from 'node:path';
import { CancelledError, UserError } from '../../../src/contract/errors.js';
import type { Settings } from '../../../src/contract/host.js';
import type { Report } from '../../../src/contract/report.js';
import type { Analysis, OpenAnalysis } from '../../../src/serve/analysis-port.js';

/**
 * An analysis that hands out a saved report instead of measuring, as slowly as asked; for tests of the window and its hosts alone.
 * @param holdAt reading stays at this frame until it is stopped
 */
export function fixtureAnalysis(reports: Map<string, Report>, frameMs = 0, holdAt = Infinity): OpenAnalysis {
  return async (folder): Promise<Analysis> => {
    const report = reports.get(folder);
    const there = await readdir(folder).catch(() => null);
    if (!report || !there) throw new UserError(`${path.basename(folder)} is not there.`, 'Check the name of the folder, or that the drive is connected.');
    let measured = false;
    return {
      folder, cameraModel: 'Bench camera', get measured() { return measured; },
      frames: report.stack.frames.map((f) => ({ file: f.file, rows: report.stack.height, columns: report.stack.width, problem: f.flags.includes('unreadable') ? 'It is cut off.' : null })),
      async analyse(settings, onEvent, signal) {
        const all = report.stack.frames.length;
        for (let done = 0; done <= all; done++) {
          if (signal.aborted) throw new CancelledError();
          onEvent({ kind: 'progress', progress: { stage: 'reading', done, all, elapsedMs: done * frameMs, leftMs: (all - done) * frameMs } });
          if (done === Math.floor(all / 2) && all > 4) onEvent({ kind: 'partial', report: underSettings(report, settings) });
          if (done === holdAt) await new Promise<void>((resolve) => signal.addEventListener('abort', () => resolve(), { once: true }));
          else if (frameMs > 0) await new Promise((resolve) => setTimeout(resolve, frameMs));
        }
        measured = true;
        return underSettings(report, settings);
      },
      async regrade(settings, onEvent, signal) {
        if (!measured) throw new UserError('Nothing has been measured yet.', 'Let the analysis finish first.');
        onEvent({ kind: 'partial', report: underSettings(report, settings) });
        if (frameMs > 0) await new Promise((resolve) => setTimeout(resolve, 10 * frameMs));
        if (signal.aborted) throw new CancelledError();
        return underSettings(report, settings);
      },
      async close() { /* nothing is held */ },
    };
  };
}

/** Depths in µm stay; the depth of field follows the aperture entered. */
function underSettings(report: Report, settings: Settings): Report {
  const values = { ...settings.rigCard?.values, ...settings.entered };
  const m = values.magnification ?? report.optics.magnification.value, n = values.fNumber ?? report.optics.fNumber.value;
  if (m === null || n === null) return report;
  const p = values.pupilRatio ?? report.optics.pupilRatio.value ?? 1;
  const effective = n * (1 + m / p), na = m / (2 * effective), dofUm = 0.55 / (na * na);
  const factor = (report.optics.dofUm.value ?? dofUm) / dofUm;
  const steps = report.steps.map((s) => {
    const stepDof = s.stepDof === null ? null : s.stepDof * factor;
    return { ...s, stepDof, overlap: stepDof === null ? null : 1 - stepDof, grade: stepDof === null ? s.grade : stepDof > 1 ? 'gap' as const : stepDof > 0.8 ? 'thin' as const : 'good' as const };
  });
  const asked = 1 - settings.overlap;
  const topUp = steps.filter((s) => s.grade === 'gap' && s.softAreaShare >= 0.005).map((s) => {
    const frames = Math.ceil((s.stepDof ?? 0) / asked - 1e-9) - 1;
    const start = (report.stack.frames[s.from].positionDof ?? 0) * factor;
    const at = Array.from({ length: frames }, (_, i) => start + ((s.stepDof ?? 0) * (i + 1)) / (frames + 1));
    return { after: s.from, before: s.to, frames, positionsDof: at, positionsUm: at.map((d) => d * dofUm) };
  });
  const source = (key: 'magnification' | 'fNumber' | 'pupilRatio') => (settings.entered[key] !== undefined ? 'option' as const : settings.rigCard?.values[key] !== undefined ? 'rig-card' as const : report.optics[key].source);
  return {
    ...report, steps, topUp,
    stack: { ...report.stack, frames: report.stack.frames.map((f) => ({ ...f, positionDof: f.positionDof === null ? null : f.positionDof * factor })) },
    tiles: { ...report.tiles, depthDof: report.tiles.depthDof.map((d) => (d === null ? null : d * factor)) },
    verdict: report.verdict.decision === 'undecided' ? report.verdict : { ...report.verdict, decision: topUp.length > 0 ? 'top-up' : 'keep' },
    optics: {
      ...report.optics, magnification: { value: m, source: source('magnification') }, fNumber: { value: n, source: source('fNumber') }, pupilRatio: { value: p, source: source('pupilRatio') },
      effectiveFNumber: { value: effective, source: 'derived' }, numericalAperture: { value: na, source: 'derived' }, dofUm: { value: dofUm, source: 'derived' },
    },
  };
}
