// The main job in Chromium: as it is, from an empty book, and with the server stopped.
import assert from 'node:assert/strict';
import { test } from 'node:test';
import { serve, testSite } from './harness.mjs';
import { hands } from './walk-hands.mjs';
import { mainJob, unmeasuredFilm } from './walk.mjs';

const three = async (t) => [await hands(t), await hands(t), await hands(t)];
const quiet = (people) => assert.deepEqual(people.flatMap(({ errors }) => errors), []);

test('from a photograph and 31 readings, one of them bad, to a record and to a friend', async (t) => {
  const server = await serve(t, testSite);
  const people = await three(t);
  await mainJob(...people, server.origin);
  quiet(people);
});

test('the same with the server stopped after the first load', async (t) => {
  const server = await serve(t, testSite);
  const people = await three(t);
  await mainJob(...people, server.origin, async () => {
    await server.stop();
    await assert.rejects(fetch(server.origin), 'nobody answers any more');
  });
});

test('from an empty book without readings to a film marked as not measured', async (t) => {
  const server = await serve(t, testSite);
  const person = await hands(t);
  await unmeasuredFilm(person, server.origin);
  quiet([person]);
});
