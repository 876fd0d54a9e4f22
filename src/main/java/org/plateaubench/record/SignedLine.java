package org.plateaubench.record;

import java.nio.charset.StandardCharsets;
import java.security.InvalidKeyException;
import java.security.SignatureException;
import java.util.Arrays;
import java.util.Base64;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import java.util.regex.Matcher;
import java.util.regex.Pattern;

/**
 * A signed message on one line: a JSON object that begins with its "type" and ends with "key", the signer's
 * SubjectPublicKeyInfo, and "signature", both in base64. Signed are the bytes of the line up to the comma before
 * "signature", and a closing brace: the same object without its last field.
 */
final class SignedLine {

    private static final String TYPE = "type";
    private static final String KEY = "key";
    private static final Pattern END = Pattern.compile(",\"signature\":\"([A-Za-z0-9+/]{86}==)\"}$");

    private final String place;
    private final byte[] message;
    private final byte[] signature;
    private final Map<String, Object> fields;
    private final SignerKey signer;

    /**
     * Reads a line; its signature is still to be checked.
     *
     * @param line the line without line feed
     * @param type the type that it must have
     * @param place file and line, for the fault
     * @throws RecordFault if it is no signed message of that type
     */
    SignedLine(byte[] line, String type, String place) throws RecordFault {
        this.place = place;
        // One character a byte, so that lengths count bytes.
        Matcher end = END.matcher(new String(line, StandardCharsets.ISO_8859_1));
        if (!end.find()) {
            throw new RecordFault(place, "the line does not end with a signature");
        }
        message = Arrays.copyOf(line, end.start() + 1);
        message[end.start()] = '}';
        signature = Base64.getDecoder().decode(end.group(1));
        try {
            fields = Json.read(message);
            if (!type.equals(fields.get(TYPE))
                    || !TYPE.equals(fields.keySet().iterator().next())) {
                throw new RecordFault(place, "the line must begin with \"type\":\"" + type + "\"");
            }
            signer = SignerKey.ofBase64(Json.text(fields, KEY));
        } catch (Json.JsonFault | InvalidKeyException e) {
            throw new RecordFault(place, e.getMessage());
        }
    }

    /** The line, without line feed. */
    static byte[] sign(String type, Map<String, ?> fields, SealingKey key) {
        Map<String, Object> message = new LinkedHashMap<>();
        message.put(TYPE, type);
        message.putAll(fields);
        message.put(KEY, key.signer().base64());
        String text = Json.line(message);
        byte[] signature = key.sign(text.getBytes(StandardCharsets.UTF_8));
        String line = text.substring(0, text.length() - 1) + ",\"signature\":\""
                + Base64.getEncoder().encodeToString(signature) + "\"}";
        return line.getBytes(StandardCharsets.UTF_8);
    }

    /** Checks the signature under the key that the line names; who holds that key is for a trust file to say. */
    SignedLine verified() throws RecordFault {
        try {
            signer.verify(message, signature);
            return this;
        } catch (SignatureException e) {
            throw new RecordFault(place, e.getMessage());
        }
    }

    /** Checks many, on all processors; the fault is that of the first that does not hold. */
    static void verifyAll(List<SignedLine> lines) throws RecordFault {
        Optional<SignedLine> broken =
                lines.parallelStream().filter(line -> !line.holds()).findFirst();
        if (broken.isPresent()) {
            broken.get().verified();
        }
    }

    private boolean holds() {
        try {
            verified();
            return true;
        } catch (RecordFault e) {
            return false;
        }
    }

    /** File and line. */
    String place() {
        return place;
    }

    SignerKey signer() {
        return signer;
    }

    /** The fields, in order. */
    Map<String, Object> fields() {
        return fields;
    }

    /** A field that must be text. */
    String text(String name) throws RecordFault {
        try {
            return Json.text(fields, name);
        } catch (Json.JsonFault e) {
            throw new RecordFault(place, e.getMessage());
        }
    }

    /** A field that must be a whole number of 0 or more. */
    long number(String name) throws RecordFault {
        if (fields.get(name) instanceof Long number && number >= 0) {
            return number;
        }
        throw new RecordFault(place, "the line has no whole number called \"" + name + "\"");
    }

    /** A field that must be true or false. */
    boolean flag(String name) throws RecordFault {
        if (fields.get(name) instanceof Boolean flag) {
            return flag;
        }
        throw new RecordFault(place, "the line has no true or false called \"" + name + "\"");
    }
}
