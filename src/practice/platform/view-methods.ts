import { asText, type Method, type PlatformCore, refuse, structured } from './core.ts';
import type { Json } from './message.ts';
import { viewRefusal } from './view-limits.ts';
import type { OpenView } from './views.ts';

function checkedView(core: PlatformCore, args: Json, type: 'modal' | 'home', own?: OpenView) {
  const parsed = structured(args.view);
  if (!parsed.ok || parsed.value === null || typeof parsed.value !== 'object')
    return { ok: false as const, refusal: refuse('invalid_arguments') };
  const spec = parsed.value as Json;
  const refusal = viewRefusal(spec);
  if (refusal)
    return {
      ok: false as const,
      refusal: refuse(refusal.error, { response_metadata: { messages: refusal.messages } }),
    };
  if (spec.type !== type) return { ok: false as const, refusal: refuse('invalid_arguments') };
  const externalId = spec.external_id;
  if (typeof externalId === 'string' && externalId !== '') {
    const other = core.views.byExternalId(externalId);
    if (other && other !== own) return { ok: false as const, refusal: refuse('duplicate_external_id') };
  }
  return { ok: true as const, spec };
}

const open: Method = (core, args) => {
  const exchanged = core.triggers.exchange(args.trigger_id);
  if (!exchanged.ok) return refuse(exchanged.error);
  const checked = checkedView(core, args, 'modal');
  if (!checked.ok) return checked.refusal;
  const view = core.views.open(exchanged.trigger.userId, checked.spec);
  return { ok: true, view: core.views.output(view) };
};

const push: Method = (core, args) => {
  const exchanged = core.triggers.exchange(args.trigger_id);
  if (!exchanged.ok) return refuse(exchanged.error);
  const { userId, viewId } = exchanged.trigger;
  if (viewId === undefined || core.views.stack(userId).length === 0) return refuse('invalid_trigger_id');
  const checked = checkedView(core, args, 'modal');
  if (!checked.ok) return checked.refusal;
  const view = core.views.push(userId, checked.spec);
  return view ? { ok: true, view: core.views.output(view) } : refuse('push_limit_reached');
};

const update: Method = (core, args) => {
  const view =
    typeof args.view_id === 'string'
      ? core.views.find(args.view_id)
      : core.views.byExternalId(asText(args.external_id));
  if (!view) return refuse('not_found');
  if (args.hash !== undefined && args.hash !== view.hash) return refuse('hash_conflict');
  const checked = checkedView(core, args, view.spec.type as 'modal' | 'home', view);
  if (!checked.ok) return checked.refusal;
  core.views.update(view, checked.spec);
  return { ok: true, view: core.views.output(view) };
};

const publish: Method = (core, args) => {
  const userId = asText(args.user_id);
  if (!core.workspace.user(userId)) return refuse('user_not_found');
  const before = core.views.home(userId);
  if (args.hash !== undefined && args.hash !== '' && args.hash !== before?.hash)
    return refuse('hash_conflict');
  const checked = checkedView(core, args, 'home', before);
  if (!checked.ok) return checked.refusal;
  return { ok: true, view: core.views.output(core.views.publish(userId, checked.spec)) };
};

/** views.* */
export const viewMethods: Record<string, Method> = {
  'views.open': open,
  'views.push': push,
  'views.update': update,
  'views.publish': publish,
};
