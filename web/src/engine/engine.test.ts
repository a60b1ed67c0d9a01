import { describe, expect, it } from 'vitest';
import { answered, DeviceOnceReady, FirstOf, type Engine } from './engine';
import { accepted, errorsAt, readResult } from './result';
import { ServerEngine } from './server_engine';
import { Written } from './written';
import { TwoParts, WasmEngine, type EngineAtWork } from './wasm_engine';

const anything = new Written('{}');
const echo: EngineAtWork = {
  call: async (name, json) => `{"ok":true,"value":{"name":"${name}","input":${json}}}`,
  configure: async () => '{"ok":true,"value":["a","b"]}',
  end: () => undefined,
};

describe('readResult', () => {
  it('reads all errors', () => {
    const result = readResult('{"ok":false,"errors":[{"path":"/a","found":"x","expected":"y"},{"path":"/b","found":"","expected":"z"}]}');
    expect(result).toEqual({
      ok: false,
      errors: [
        { path: '/a', found: 'x', expected: 'y' },
        { path: '/b', found: '', expected: 'z' },
      ],
    });
  });
  it.each(['{}', '[]', '{"ok":true}', '{"ok":false,"errors":[{"path":1}]}', 'null'])('refuses %s', (text) => {
    expect(() => readResult(text)).toThrow('not an answer');
  });
});

describe('errorsAt', () => {
  it('finds a field and what lies in it, not its namesakes', () => {
    const errors = ['/order/rate', '/order/rate/unit', '/order/rates'].map((path) => ({ path, found: '', expected: '' }));
    expect(errorsAt(errors, '/order/rate').map((error) => error.path)).toEqual(['/order/rate', '/order/rate/unit']);
  });
});

describe('WasmEngine', () => {
  it('configures once and passes JSON through', async () => {
    let configured = 0;
    const module = { ...echo, configure: async (): Promise<string> => (configured++, '{"ok":true,"value":["a","b"]}') };
    const engine = new WasmEngine(
      async () => '{}',
      async () => module,
    );
    const answers = await Promise.all([engine.call('line.age', new Written('{"n":1}')), engine.call('care.due', new Written('[2]'))]);
    expect(answers).toEqual([accepted({ name: 'line.age', input: { n: 1 } }), accepted({ name: 'care.due', input: [2] })]);
    expect(configured).toBe(1);
  });

  it('tries again after a failed start', async () => {
    let starts = 0;
    const engine = new WasmEngine(
      async () => '{}',
      async () => {
        if (++starts === 1) throw new Error('no network');
        return echo;
      },
    );
    await expect(engine.call('line.age', anything)).rejects.toThrow('no network');
    await expect(engine.call('line.age', anything)).resolves.toMatchObject({ ok: true });
  });
});

describe('ServerEngine', () => {
  it('posts to the function by name and reads field errors of a 422', async () => {
    let asked = '';
    const engine = new ServerEngine('comma', async (address) => {
      asked = String(address);
      return new Response('{"ok":false,"errors":[{"path":"/rate","found":"12","expected":"a unit"}]}', { status: 422 });
    });
    const result = await engine.call('dosing.rate', {});
    expect(asked).toBe('api/engine/dosing.rate?decimal=comma');
    expect(result.ok).toBe(false);
  });
  it('fails on anything else', async () => {
    const engine = new ServerEngine('comma', async () => new Response('busy', { status: 503 }));
    await expect(engine.call('line.age', anything)).rejects.toThrow('503');
  });
});

describe('FirstOf', () => {
  it('falls back to the next engine', async () => {
    const broken: Engine = { where: 'device', call: () => Promise.reject(new Error('cannot run')) };
    const server: Engine = { where: 'server', call: async <T>() => accepted(7 as T) };
    expect(await new FirstOf([broken, server]).call('line.age', anything)).toEqual(accepted(7));
    await expect(new FirstOf([broken]).call('line.age', anything)).rejects.toThrow('cannot run');
  });
});

describe('DeviceOnceReady', () => {
  const server: Engine = { where: 'server', call: async <T>() => accepted('server' as T) };
  const gone: Engine = { where: 'server', call: () => Promise.reject(new Error('no network')) };
  const device = (ready: () => boolean, warm: () => void = () => undefined) =>
    ({ where: 'device' as const, isReadyFor: ready, warm, end: () => undefined, call: async <T>() => accepted('device' as T) });

  it('asks the server until the device has its engine, then the device', async () => {
    let ready = false;
    let warmed = 0;
    const engine = new DeviceOnceReady(device(() => ready, () => void warmed++), server, (work) => work());
    expect(await engine.call('line.age', anything)).toEqual(accepted('server'));
    expect(warmed).toBe(1);
    ready = true;
    expect(await engine.call('line.age', anything)).toEqual(accepted('device'));
  });
  it('that was ended begins no download', async () => {
    let warmed = 0;
    let begin: () => void = () => undefined;
    const engine = new DeviceOnceReady(device(() => false, () => void warmed++), server, (work) => void (begin = work));
    await engine.call('line.age', anything);
    engine.end();
    begin();
    expect(warmed).toBe(0);
  });
  it('waits for the device when the server cannot be reached', async () => {
    expect(await new DeviceOnceReady(device(() => false), gone).call('line.age', anything)).toEqual(accepted('device'));
  });
  it('asks the server when the device lacks a part that cannot be fetched', async () => {
    const broken = { where: 'device' as const, isReadyFor: () => true, warm: () => undefined, end: () => undefined, call: () => Promise.reject(new Error('not here')) };
    expect(await new DeviceOnceReady(broken, server).call('line.age', anything)).toEqual(accepted('server'));
  });
});

describe('TwoParts', () => {
  const part = (value: string, ...names: string[]) =>
    new WasmEngine(
      async () => '{}',
      async () => ({ ...echo, configure: async () => JSON.stringify({ ok: true, value: names }), call: async () => JSON.stringify({ ok: true, value }) }),
    );
  const never = () => new WasmEngine(async () => '{}', () => Promise.reject(new Error('no network')));

  it('answers from the small part what it has, and asks the whole one for the rest', async () => {
    const engine = new TwoParts(part('first', 'care.ward'), part('whole', 'care.ward', 'device.plan'));
    expect(await engine.call('care.ward', anything)).toEqual(accepted('first'));
    expect(engine.isReadyFor('care.ward')).toBe(true);
    expect(engine.isReadyFor('device.plan')).toBe(false);
    expect(await engine.call('device.plan', anything)).toEqual(accepted('whole'));
    expect(await engine.call('care.ward', anything)).toEqual(accepted('whole'));
  });
  it('is not ready for what the small part lacks, until the whole one is here', async () => {
    const engine = new TwoParts(part('first', 'care.ward'), never());
    await expect(engine.call('device.plan', anything)).rejects.toThrow('no network');
    expect(engine.isReadyFor('device.plan')).toBe(false);
    expect(engine.isReadyFor('care.ward')).toBe(true);
  });
  it('is ready for nothing before any part is here', async () => {
    expect(new TwoParts(never(), never()).isReadyFor('care.ward')).toBe(false);
  });
});

describe('answered', () => {
  const nowhere = () => [{ path: '/engine', found: 'not reached', expected: 'another try' }];
  it('says that no engine was reached, to who asked and to who keeps that in mind', async () => {
    const heard: boolean[] = [];
    const away: Engine = { where: 'server', call: () => Promise.reject(new Error('no network')) };
    const asked = new FirstOf([away, away]).call('site.assess', anything);
    await expect(answered(asked, nowhere, (was) => heard.push(was))).resolves.toEqual({ ok: false, errors: nowhere() });
    await expect(answered(Promise.resolve(accepted(1)), nowhere, (was) => heard.push(was))).resolves.toEqual(accepted(1));
    expect(heard).toEqual([false, true]);
  });
  it('leaves what an engine refuses as it was refused', async () => {
    const errors = [{ path: '/signs', found: '', expected: 'signs' }];
    await expect(answered(Promise.resolve({ ok: false as const, errors }), nowhere, () => undefined)).resolves.toEqual({ ok: false, errors });
  });
});
