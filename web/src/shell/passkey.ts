// Passkeys as browsers know them (W3C, Web Authentication): bytes on this side, base64url on the server's.
import type { AccountsPasskeyMade, AccountsPasskeyUsed, ServerNewPasskeyAsked, ServerPasskeyAsked } from '../engine/generated/shapes';

/** Whether this browser has any; an address that is a number has none. */
export const hasPasskeys = (): boolean => 'PublicKeyCredential' in window && /[a-z]/i.test(location.hostname);

const bytesOf = (text: string): Uint8Array<ArrayBuffer> => Uint8Array.from(atob(text.replaceAll('-', '+').replaceAll('_', '/')), (letter) => letter.charCodeAt(0));
const textOf = (bytes: ArrayBuffer): string => btoa(String.fromCharCode(...new Uint8Array(bytes))).replaceAll('+', '-').replaceAll('/', '_').replace(/=+$/, '');

/** ECDSA with P-256, Ed25519, RSA: by their numbers in COSE. */
const algorithms = [-7, -8, -257] as const;
const patience = 300_000;

/** A new key on this device or a token; nothing when whoever sits here changed her mind. */
export async function makePasskey(asked: ServerNewPasskeyAsked, name: string): Promise<AccountsPasskeyMade | null> {
  const made = await navigator.credentials
    .create({
      publicKey: {
        challenge: bytesOf(asked.challenge),
        rp: { id: asked.host, name: 'Dwell' },
        user: { id: new TextEncoder().encode(asked.person.id), name: asked.person.sign_in, displayName: asked.person.name },
        pubKeyCredParams: algorithms.map((alg) => ({ type: 'public-key', alg })),
        authenticatorSelection: { residentKey: 'required', userVerification: 'required' },
        excludeCredentials: asked.known.map((id) => ({ type: 'public-key', id: bytesOf(id) })),
        attestation: 'none',
        timeout: patience,
      },
    })
    .catch(() => null);
  if (!(made instanceof PublicKeyCredential) || !(made.response instanceof AuthenticatorAttestationResponse)) return null;
  return {
    client_data: textOf(made.response.clientDataJSON),
    authenticator_data: textOf(made.response.getAuthenticatorData()),
    algorithm: made.response.getPublicKeyAlgorithm(),
    name,
  };
}

export async function usePasskey(asked: ServerPasskeyAsked): Promise<AccountsPasskeyUsed | null> {
  const used = await navigator.credentials
    .get({ publicKey: { challenge: bytesOf(asked.challenge), rpId: asked.host, userVerification: 'required', timeout: patience } })
    .catch(() => null);
  if (!(used instanceof PublicKeyCredential) || !(used.response instanceof AuthenticatorAssertionResponse)) return null;
  return {
    id: textOf(used.rawId),
    client_data: textOf(used.response.clientDataJSON),
    authenticator_data: textOf(used.response.authenticatorData),
    signature: textOf(used.response.signature),
  };
}
