package org.plateaubench.record;

import java.math.BigInteger;
import java.nio.charset.StandardCharsets;
import java.security.GeneralSecurityException;
import java.security.InvalidKeyException;
import java.security.KeyFactory;
import java.security.PublicKey;
import java.security.Signature;
import java.security.SignatureException;
import java.security.spec.X509EncodedKeySpec;
import java.util.Arrays;
import java.util.Base64;
import java.util.HexFormat;

/**
 * The public half of an Ed25519 key (RFC 8032), named by its fingerprint: the SHA-256 of its SubjectPublicKeyInfo
 * (RFC 8410), as 64 hexadecimal digits.
 *
 * <p>A key of small order is refused: one signature under it can hold for every message.
 */
public final class SignerKey {

    /** DER of a SubjectPublicKeyInfo up to the 32 bytes of the key: RFC 8410, section 4 and its example. */
    private static final byte[] SPKI_PREFIX = HexFormat.of().parseHex("302a300506032b6570032100");

    private static final int KEY_BYTES = 32;
    private static final int SIGNATURE_BYTES = 64;

    /** The field's prime, 2^255 - 19: RFC 8032, section 5.1. */
    private static final BigInteger P = BigInteger.TWO.pow(255).subtract(BigInteger.valueOf(19));

    /** The curve's d, -121665/121666: RFC 8032, section 5.1. */
    private static final BigInteger D = BigInteger.valueOf(-121665)
            .multiply(BigInteger.valueOf(121666).modInverse(P))
            .mod(P);

    private final byte[] spki;
    private final PublicKey key;

    private SignerKey(byte[] spki) throws InvalidKeyException {
        refuseWeak(Arrays.copyOfRange(spki, SPKI_PREFIX.length, spki.length));
        this.spki = spki;
        try {
            this.key = KeyFactory.getInstance("Ed25519").generatePublic(new X509EncodedKeySpec(spki));
        } catch (GeneralSecurityException e) {
            throw new InvalidKeyException("no point of the curve belongs to this Ed25519 public key", e);
        }
    }

    /**
     * Reads a key from its SubjectPublicKeyInfo.
     *
     * @param spki 44 bytes of DER
     * @return the key
     * @throws InvalidKeyException if it is no Ed25519 key, or one of small order
     */
    public static SignerKey of(byte[] spki) throws InvalidKeyException {
        if (spki.length != SPKI_PREFIX.length + KEY_BYTES
                || !Arrays.equals(spki, 0, SPKI_PREFIX.length, SPKI_PREFIX, 0, SPKI_PREFIX.length)) {
            throw new InvalidKeyException("an Ed25519 public key (44 bytes of DER) is needed, found other content");
        }
        return new SignerKey(spki.clone());
    }

    /** Reads a key from its 32 bytes of RFC 8032, section 5.1.5. */
    static SignerKey ofRaw(byte[] raw) throws InvalidKeyException {
        byte[] spki = Arrays.copyOf(SPKI_PREFIX, SPKI_PREFIX.length + raw.length);
        System.arraycopy(raw, 0, spki, SPKI_PREFIX.length, raw.length);
        return of(spki);
    }

    /**
     * Reads a key from PEM text.
     *
     * @param pem text with one "PUBLIC KEY" block
     * @return the key
     * @throws InvalidKeyException if it holds no Ed25519 key, or one of small order
     */
    public static SignerKey ofPem(String pem) throws InvalidKeyException {
        return of(Pem.decode(pem, "PUBLIC KEY"));
    }

    /** Reads a key as {@link #base64} wrote it. */
    static SignerKey ofBase64(String text) throws InvalidKeyException {
        try {
            return of(Base64.getDecoder().decode(text.getBytes(StandardCharsets.US_ASCII)));
        } catch (IllegalArgumentException e) {
            throw new InvalidKeyException("a public key in base64 is needed, found other text", e);
        }
    }

    /**
     * Refuses the encodings that are not canonical (y of p or more) and the points whose order divides 8. For those,
     * y is 0, 1 or -1, or twice the point has y = 0: by the doubling formula (RFC 8032, section 5.1.4) x^2 = -y^2 then,
     * and with the curve's equation -x^2 + y^2 = 1 + d x^2 y^2 that is d y^4 + 2 y^2 - 1 = 0.
     */
    private static void refuseWeak(byte[] raw) throws InvalidKeyException {
        byte[] bigEndian = new byte[KEY_BYTES];
        for (int i = 0; i < KEY_BYTES; i++) {
            bigEndian[i] = raw[KEY_BYTES - 1 - i];
        }
        bigEndian[0] &= 0x7f; // the highest bit is the sign of x
        BigInteger y = new BigInteger(1, bigEndian);
        if (y.compareTo(P) >= 0) {
            throw new InvalidKeyException("the Ed25519 public key is not in its canonical form");
        }
        BigInteger y2 = y.multiply(y).mod(P);
        BigInteger order8 = D.multiply(y2).add(BigInteger.TWO).multiply(y2).subtract(BigInteger.ONE);
        if (y.signum() == 0 || y2.equals(BigInteger.ONE) || order8.mod(P).signum() == 0) {
            throw new InvalidKeyException("the Ed25519 public key is of small order and proves nothing");
        }
    }

    /**
     * Checks a signature. There is no answer to forget: a signature that does not hold throws.
     *
     * @param message the signed bytes
     * @param signature what should be 64 bytes of signature
     * @throws SignatureException if it is not this key's signature over these bytes
     */
    public void verify(byte[] message, byte[] signature) throws SignatureException {
        if (signature.length != SIGNATURE_BYTES) {
            throw new SignatureException("a signature has 64 bytes, found " + signature.length);
        }
        boolean holds;
        try {
            Signature verifier = Signature.getInstance("Ed25519");
            verifier.initVerify(key);
            verifier.update(message);
            holds = verifier.verify(signature);
        } catch (GeneralSecurityException e) {
            throw new SignatureException("the signature does not hold", e);
        }
        if (!holds) {
            throw new SignatureException("the signature does not hold");
        }
    }

    /** {@return the SHA-256 of the SubjectPublicKeyInfo, 64 hexadecimal digits} */
    public String fingerprint() {
        return Sha256.of(spki);
    }

    /** {@return the key as a PEM file, as openssl writes it} */
    public String pem() {
        return Pem.encode("PUBLIC KEY", spki);
    }

    /** {@return the SubjectPublicKeyInfo in base64, 60 characters} */
    String base64() {
        return Base64.getEncoder().encodeToString(spki);
    }

    @Override
    public boolean equals(Object other) {
        return other instanceof SignerKey that && Arrays.equals(spki, that.spki);
    }

    @Override
    public int hashCode() {
        return Arrays.hashCode(spki);
    }

    @Override
    public String toString() {
        return fingerprint();
    }
}
