package org.plateaubench.record;

import java.io.IOException;
import java.security.AlgorithmParameters;
import java.security.GeneralSecurityException;
import java.security.InvalidKeyException;
import java.security.KeyFactory;
import java.security.KeyPair;
import java.security.KeyPairGenerator;
import java.security.PrivateKey;
import java.security.SecureRandom;
import java.security.Signature;
import java.security.SignatureException;
import java.security.spec.NamedParameterSpec;
import java.security.spec.PKCS8EncodedKeySpec;
import java.util.Arrays;
import java.util.HexFormat;
import java.util.function.Supplier;
import javax.crypto.Cipher;
import javax.crypto.EncryptedPrivateKeyInfo;
import javax.crypto.SecretKey;
import javax.crypto.SecretKeyFactory;
import javax.crypto.spec.IvParameterSpec;
import javax.crypto.spec.PBEKeySpec;
import javax.crypto.spec.PBEParameterSpec;

/**
 * An Ed25519 key that seals records (RFC 8032), kept as PKCS#8 in PEM text (RFC 8410, section 7), with a passphrase as
 * PBES2 (RFC 8018, section 6.2: PBKDF2 with HMAC-SHA-256, AES-256-CBC). openssl reads and writes both.
 */
public final class SealingKey {

    private static final String PLAIN = "PRIVATE KEY";
    private static final String ENCRYPTED = "ENCRYPTED PRIVATE KEY";
    private static final String PBES2 = "PBEWithHmacSHA256AndAES_256";

    /** DER of a PrivateKeyInfo up to the 32 bytes of the key: RFC 8410, section 7 and its first example. */
    private static final byte[] PKCS8_PREFIX = HexFormat.of().parseHex("302e020100300506032b657004220420");

    private static final int SEED_BYTES = 32;
    private static final int SALT_BYTES = 16;
    private static final int IV_BYTES = 16;
    private static final int ITERATIONS = 600_000;
    /** A key file may not keep the program busy for minutes. */
    private static final int MOST_ITERATIONS = 10_000_000;

    private final byte[] seed;
    private final PrivateKey key;
    private final SignerKey signer;

    private SealingKey(byte[] seed) throws InvalidKeyException {
        this.seed = seed;
        try {
            // The platform derives a public key only for a pair that it generates; so it draws the seed given here.
            KeyPairGenerator generator = KeyPairGenerator.getInstance("Ed25519");
            generator.initialize(NamedParameterSpec.ED25519, new Given(seed));
            KeyPair pair = generator.generateKeyPair();
            this.signer = SignerKey.of(pair.getPublic().getEncoded());
            this.key = KeyFactory.getInstance("Ed25519").generatePrivate(new PKCS8EncodedKeySpec(pkcs8()));
            byte[] probe = PKCS8_PREFIX.clone();
            signer.verify(probe, sign(probe));
        } catch (InvalidKeyException e) {
            throw e;
        } catch (GeneralSecurityException e) {
            throw new IllegalStateException("this Java platform has no working Ed25519", e);
        }
    }

    /** {@return a new key, drawn from the platform's secure random source} */
    public static SealingKey generate() {
        byte[] seed = new byte[SEED_BYTES];
        new SecureRandom().nextBytes(seed);
        return ofSeed(seed);
    }

    /** The key of a 32-byte secret (RFC 8032, section 5.1.5). */
    static SealingKey ofSeed(byte[] seed) {
        try {
            return new SealingKey(seed.clone());
        } catch (InvalidKeyException e) {
            throw new IllegalStateException("a secret key has a public key of large order", e);
        }
    }

    /**
     * Tells whether a key file asks for a passphrase.
     *
     * @param pem the file's text
     * @return true if the key in it is encrypted
     */
    public static boolean asksForPassphrase(String pem) {
        return Pem.label(pem).equals(ENCRYPTED);
    }

    /**
     * Reads a key file.
     *
     * @param pem the file's text
     * @param passphrase asked only if the key is encrypted; its array is overwritten after use
     * @return the key
     * @throws InvalidKeyException if it holds no Ed25519 key, or the passphrase does not open it
     */
    public static SealingKey ofPem(String pem, Supplier<char[]> passphrase) throws InvalidKeyException {
        byte[] pkcs8 = asksForPassphrase(pem)
                ? decrypted(Pem.decode(pem, ENCRYPTED), passphrase.get())
                : Pem.decode(pem, PLAIN);
        if (pkcs8.length != PKCS8_PREFIX.length + SEED_BYTES
                || !Arrays.equals(pkcs8, 0, PKCS8_PREFIX.length, PKCS8_PREFIX, 0, PKCS8_PREFIX.length)) {
            throw new InvalidKeyException("an Ed25519 private key (48 bytes of PKCS#8) is needed, found other content");
        }
        return new SealingKey(Arrays.copyOfRange(pkcs8, PKCS8_PREFIX.length, pkcs8.length));
    }

    private static byte[] decrypted(byte[] der, char[] passphrase) throws InvalidKeyException {
        try {
            EncryptedPrivateKeyInfo info = new EncryptedPrivateKeyInfo(der);
            AlgorithmParameters parameters = info.getAlgParameters();
            if (parameters == null) {
                throw new InvalidKeyException("the key's encryption (" + info.getAlgName() + ") is not PBES2");
            }
            PBEParameterSpec spec = parameters.getParameterSpec(PBEParameterSpec.class);
            if (spec.getIterationCount() > MOST_ITERATIONS) {
                throw new InvalidKeyException("the key asks for " + spec.getIterationCount()
                        + " rounds of key derivation; at most " + MOST_ITERATIONS + " are done");
            }
            // The parameters' text is the full name of the scheme, such as PBEWithHmacSHA256AndAES_256.
            Cipher cipher = Cipher.getInstance(parameters.toString());
            cipher.init(Cipher.DECRYPT_MODE, secret(parameters.toString(), passphrase), parameters);
            // Not doFinal: one wrong passphrase in 256 leaves bytes that look padded, which this parses and refuses.
            return info.getKeySpec(cipher).getEncoded();
        } catch (InvalidKeyException e) {
            throw e;
        } catch (IOException | GeneralSecurityException e) {
            throw new InvalidKeyException("the passphrase does not open this key", e);
        }
    }

    private static SecretKey secret(String scheme, char[] passphrase) throws GeneralSecurityException {
        PBEKeySpec spec = new PBEKeySpec(passphrase);
        Arrays.fill(passphrase, ' ');
        try {
            return SecretKeyFactory.getInstance(scheme).generateSecret(spec);
        } finally {
            spec.clearPassword();
        }
    }

    /** {@return the key as a PEM file without a passphrase} */
    public String pem() {
        return Pem.encode(PLAIN, pkcs8());
    }

    /**
     * The key as a PEM file with a passphrase.
     *
     * @param passphrase printable ASCII, not empty; overwritten after use
     * @return the file's text
     * @throws InvalidKeyException if the passphrase cannot be used
     */
    public String pem(char[] passphrase) throws InvalidKeyException {
        for (char c : passphrase) {
            if (c < ' ' || c > '~') {
                throw new InvalidKeyException("a passphrase is made of printable ASCII characters");
            }
        }
        if (passphrase.length == 0) {
            throw new InvalidKeyException("a passphrase has at least one character");
        }
        SecureRandom random = new SecureRandom();
        byte[] salt = new byte[SALT_BYTES];
        byte[] iv = new byte[IV_BYTES];
        random.nextBytes(salt);
        random.nextBytes(iv);
        try {
            Cipher cipher = Cipher.getInstance(PBES2);
            cipher.init(
                    Cipher.ENCRYPT_MODE,
                    secret(PBES2, passphrase),
                    new PBEParameterSpec(salt, ITERATIONS, new IvParameterSpec(iv)));
            byte[] encrypted = cipher.doFinal(pkcs8());
            // EncryptedPrivateKeyInfo refuses the cipher's own parameters, and takes the same bytes under this name.
            AlgorithmParameters parameters = AlgorithmParameters.getInstance("PBES2");
            parameters.init(cipher.getParameters().getEncoded());
            return Pem.encode(ENCRYPTED, new EncryptedPrivateKeyInfo(parameters, encrypted).getEncoded());
        } catch (IOException | GeneralSecurityException e) {
            throw new IllegalStateException("this Java platform has no PBES2", e);
        }
    }

    private byte[] pkcs8() {
        byte[] der = Arrays.copyOf(PKCS8_PREFIX, PKCS8_PREFIX.length + SEED_BYTES);
        System.arraycopy(seed, 0, der, PKCS8_PREFIX.length, SEED_BYTES);
        return der;
    }

    /**
     * Signs.
     *
     * @param message the bytes to sign
     * @return 64 bytes; the same message always has the same signature
     */
    public byte[] sign(byte[] message) {
        try {
            Signature signature = Signature.getInstance("Ed25519");
            signature.initSign(key);
            signature.update(message);
            return signature.sign();
        } catch (InvalidKeyException | SignatureException e) {
            throw new IllegalStateException("the key that was checked when it was read cannot sign", e);
        } catch (GeneralSecurityException e) {
            throw new IllegalStateException("this Java platform has no Ed25519", e);
        }
    }

    /** {@return the public half} */
    public SignerKey signer() {
        return signer;
    }

    /** {@return the public half's fingerprint; the secret is in no text} */
    @Override
    public String toString() {
        return signer.fingerprint();
    }

    /** A source of "random" bytes that are known beforehand. */
    private static final class Given extends SecureRandom {

        private static final long serialVersionUID = 1L;

        private final byte[] bytes;

        Given(byte[] bytes) {
            this.bytes = bytes;
        }

        @Override
        public void nextBytes(byte[] into) {
            System.arraycopy(bytes, 0, into, 0, into.length);
        }
    }
}
