package org.plateaubench.record;

import java.nio.charset.StandardCharsets;
import java.text.Normalizer;
import java.util.Collections;
import java.util.HashSet;
import java.util.Locale;
import java.util.Map;
import java.util.Set;
import java.util.TreeMap;
import java.util.regex.Matcher;
import java.util.regex.Pattern;

/** A payload or tag manifest (RFC 8493, sections 2.1.3 and 2.2.1): checksum and path, a line each. */
final class Manifest {

    static final String PAYLOAD = "manifest-sha256.txt";
    static final String TAG = "tagmanifest-sha256.txt";

    private static final Pattern LINE = Pattern.compile("([0-9A-Fa-f]+)[ \\t]+\\*?(\\S.*)");

    private Manifest() {}

    /** The text, in the order of the paths, as sha256sum reads it. */
    static byte[] text(Map<String, String> hashes) {
        StringBuilder text = new StringBuilder();
        new TreeMap<>(hashes)
                .forEach((path, hash) ->
                        text.append(hash).append("  ").append(path).append('\n'));
        return text.toString().getBytes(StandardCharsets.UTF_8);
    }

    /**
     * Reads a manifest.
     *
     * @param utf8 its bytes
     * @param name its name, for the fault
     * @param digits how many hexadecimal digits a checksum has
     * @return lower-case checksums by path, in the order of the paths
     * @throws RecordFault if a line is none, a path leaves the bag, or two paths are the same to some file system
     */
    static Map<String, String> read(byte[] utf8, String name, int digits) throws RecordFault {
        Map<String, String> hashes = new TreeMap<>();
        Set<String> folded = new HashSet<>();
        int number = 0;
        for (String line : new String(utf8, StandardCharsets.UTF_8).split("\r\n|\n|\r")) {
            number++;
            String place = name + ":" + number;
            Matcher parts = LINE.matcher(line);
            if (!parts.matches() || parts.group(1).length() != digits) {
                throw new RecordFault(place, "a checksum of " + digits + " hexadecimal digits and a path are needed");
            }
            String path = decoded(parts.group(2), place);
            String refused = refusal(path);
            if (!refused.isEmpty()) {
                throw new RecordFault(place, "the path '" + path + "' " + refused);
            }
            if (!folded.add(folded(path))) {
                throw new RecordFault(
                        place,
                        "'" + path + "' is listed twice, or as a name that some file systems take" + " for the same");
            }
            hashes.put(path, parts.group(1).toLowerCase(Locale.ROOT));
        }
        return Collections.unmodifiableMap(hashes);
    }

    /** RFC 8493, section 2.1.3: only line ends and the per cent sign are encoded. */
    private static String decoded(String path, String place) throws RecordFault {
        String rest = path.replaceAll("(?i)%0A|%0D|%25", "");
        if (rest.indexOf('%') >= 0) {
            throw new RecordFault(place, "the path '" + path + "' has a per cent sign that encodes nothing");
        }
        return path.replaceAll("(?i)%0A", "\n").replaceAll("(?i)%0D", "\r").replace("%25", "%");
    }

    /** Why a path is refused, or "" if it stays inside the bag on every system: RFC 8493, section 5.1.1. */
    static String refusal(String path) {
        if (path.startsWith("/") || path.startsWith("~") || path.matches("[A-Za-z]:.*")) {
            return "leads out of the bag";
        }
        if (path.indexOf('\\') >= 0) {
            return "has a backslash";
        }
        if (path.chars().anyMatch(c -> c < ' ' || c == 0x7f)) {
            return "has a control character";
        }
        for (String step : path.split("/", -1)) {
            if (step.isEmpty() || step.equals(".") || step.equals("..")) {
                return "has an empty, '.' or '..' step";
            }
        }
        return "";
    }

    /** What two names have in common that some file system takes for one: NFC and no case. */
    static String folded(String path) {
        return Normalizer.normalize(
                Normalizer.normalize(path, Normalizer.Form.NFC)
                        .toUpperCase(Locale.ROOT)
                        .toLowerCase(Locale.ROOT),
                Normalizer.Form.NFC);
    }
}
