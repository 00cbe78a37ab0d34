import { writeFileSync } from 'node:fs';
import { test } from 'vitest';
import { accuracyTable } from '../helpers/score/accuracy-table.js';
import { checkStack } from '../helpers/score/check-stack.js';
import { scoreReport, type StackScore } from '../helpers/score/score-report.js';
import { CASES } from '../helpers/stack/all-cases.js';
import { cachedStack } from '../helpers/stack/cached-stack.js';

/**
 * The engine against rendered stacks of known truth. TABLE=tripod|field, CASES=plane,dome, SEEDS=100,101 narrow it down,
 * SHORT=n takes the first n seeds of each case, RENDER=1 only renders, JSON=file keeps the figures.
 */
test('accuracy', async () => {
  const { TABLE, CASES: only, SEEDS, SHORT, RENDER, JSON: jsonFile } = process.env;
  const all: StackScore[] = [];
  for (const table of ['tripod', 'field'] as const) {
    if (TABLE && TABLE !== table) continue;
    const scores: StackScore[] = [];
    for (const [name, known] of Object.entries(CASES)) {
      if (known.table !== table || (only && !only.split(',').includes(name))) continue;
      for (const seed of SEEDS ? SEEDS.split(',').map(Number) : known.seeds.slice(0, SHORT ? Number(SHORT) : undefined)) {
        const began = Date.now();
        const { folder, truth } = await cachedStack(name, seed);
        if (RENDER) { console.log(`rendered ${name}-${seed}, ${((Date.now() - began) / 1000).toFixed(0)} s`); continue; }
        const rendered = Date.now();
        try {
          const score = scoreReport(await checkStack(folder, truth), truth);
          scores.push(score);
          if (jsonFile) writeFileSync(jsonFile, JSON.stringify([...all, ...scores], null, 1)); // kept even if the run is cut short
          console.log(`${score.problems.length ? 'FAIL' : 'ok  '} ${truth.name.padEnd(18)} ${score.decision.padEnd(10)} ${((Date.now() - rendered) / 1000).toFixed(1)} s${score.problems.map((p) => `\n       ${p}`).join('')}`);
        } catch (error) {
          console.log(`FAIL ${truth.name}: ${error instanceof Error ? error.stack : String(error)}`);
          scores.push({ name: truth.name, decision: 'error', stepErrors: [], pulls: [], intervals: truth.stepsUm.length, unmeasured: truth.stepsUm.length, gaps: truth.harmful.length,
            gapsMissed: truth.harmful.length, falseGaps: 0, flagsMissed: 0, flagsInvented: 0, orderWrong: 0, verdictWrong: !truth.accept?.includes('error'), gaveUp: false, problems: ['no report'] });
        }
      }
    }
    if (scores.length) console.log(`\n${table} stacks\n${accuracyTable(scores)}\n`);
    all.push(...scores);
  }
});
