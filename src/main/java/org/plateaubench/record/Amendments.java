package org.plateaubench.record;

import java.io.IOException;
import java.nio.charset.StandardCharsets;
import java.nio.file.Files;
import java.nio.file.LinkOption;
import java.nio.file.Path;
import java.security.InvalidKeyException;
import java.security.SignatureException;
import java.util.ArrayList;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Locale;
import java.util.Map;
import java.util.Optional;
import java.util.Set;
import java.util.SortedMap;
import java.util.TreeMap;
import java.util.TreeSet;
import java.util.function.Consumer;
import java.util.regex.Matcher;
import java.util.regex.Pattern;

/**
 * The amendments of a sealed record: numbered JSON files in its folder amendments, each beside its signature (64 raw
 * bytes over the file's bytes). Each names the record by the hashes of tag manifest and signature, and the amendment
 * before by its hash. What was sealed stays untouched.
 */
public final class Amendments {

    static final String FOLDER = "amendments";
    static final int MOST = 9999;

    private static final String TYPE = "plateau-amendment";
    private static final String SIG = ".sig";
    private static final Pattern STATED = Pattern.compile("([0-9]{4})-(note|set-aside|sign-off|withdrawal)\\.json");

    private static final Pattern NUMBERED = Pattern.compile("[0-9]{4}-.*");

    private Amendments() {}

    /**
     * Reads and checks the amendments of a sealed record.
     *
     * @param record the record's folder
     * @param findings takes what is not as it must be
     * @return those that hold, in order; one behind a broken one does not
     * @throws IOException if they cannot be read
     */
    public static List<Amendment> read(Path record, Consumer<Finding> findings) throws IOException {
        SortedMap<Integer, String> stated = new TreeMap<>();
        Set<String> unused = new TreeSet<>();
        if (Files.isDirectory(record.resolve(FOLDER), LinkOption.NOFOLLOW_LINKS)) {
            // Links and odd names are the folder check's findings.
            for (String name :
                    FolderTree.of(record.resolve(FOLDER), finding -> {}).files().keySet()) {
                unused.add(name);
                Matcher parts = STATED.matcher(name);
                if (parts.matches() && stated.put(Integer.parseInt(parts.group(1)), name) != null) {
                    findings.accept(RecordCheck.AMENDMENT_BROKEN.at(
                            FOLDER + "/" + name, "two amendments have the number " + parts.group(1)));
                }
            }
        }
        List<Amendment> amendments = new ArrayList<>();
        boolean broken = false;
        for (Map.Entry<Integer, String> each : stated.entrySet()) {
            String name = each.getValue();
            unused.remove(name);
            if (!unused.remove(name + SIG)) {
                findings.accept(RecordCheck.AMENDMENT_UNFINISHED.at(
                        FOLDER + "/" + name, "there is no " + FOLDER + "/" + name + SIG));
                continue;
            }
            if (each.getKey() != amendments.size() + 1) {
                findings.accept(RecordCheck.AMENDMENT_MISSING.at(
                        FOLDER,
                        String.format(
                                Locale.ROOT, "%04d is there, %04d is not", each.getKey(), amendments.size() + 1)));
                broken = true;
                break;
            }
            try {
                Amendment amendment = check(record, name, amendments);
                amendment.attachments().forEach(a -> unused.remove(a.file().substring(FOLDER.length() + 1)));
                amendments.add(amendment);
            } catch (RecordFault e) {
                findings.accept(RecordCheck.AMENDMENT_BROKEN.at(e.place(), e.found()));
                broken = true;
                break;
            }
        }
        for (String name : unused) {
            int number = NUMBERED.matcher(name).matches() ? Integer.parseInt(name.substring(0, 4)) : 0;
            if (broken && number > amendments.size()) {
                continue; // nothing can be said of what comes behind a broken one
            }
            RecordCheck check = number == amendments.size() + 1 || name.endsWith(FileOps.UNFINISHED)
                    ? RecordCheck.AMENDMENT_UNFINISHED
                    : RecordCheck.FILE_NOT_LISTED;
            findings.accept(check.at(FOLDER + "/" + name, "no amendment has it"));
        }
        return amendments;
    }

    private static Amendment check(Path record, String name, List<Amendment> before) throws IOException {
        String file = FOLDER + "/" + name;
        byte[] bytes = Bag.bytes(record, file);
        byte[] signature = Bag.bytes(record, file + SIG);
        try {
            Map<String, Object> fields = Json.read(bytes);
            if (!fields.keySet().stream().findFirst().equals(Optional.of("type"))) {
                throw new RecordFault(file, "it must begin with its \"type\"");
            }
            SignerKey signer = SignerKey.ofBase64(Json.text(fields, "key"));
            signer.verify(bytes, signature);
            int number = before.size() + 1;
            Map<String, Object> needed = new LinkedHashMap<>();
            needed.put("type", TYPE);
            needed.put("number", (long) number);
            needed.putAll(subject(record));
            needed.put("previous_sha256", previous(before));
            needed.put("fingerprint", signer.fingerprint());
            for (Map.Entry<String, Object> field : needed.entrySet()) {
                if (!field.getValue().equals(fields.get(field.getKey()))) {
                    throw new RecordFault(
                            file,
                            "\"" + field.getKey() + "\" must be " + field.getValue() + ", found "
                                    + fields.get(field.getKey()));
                }
            }
            Statement statement = Statement.read(fields.get("statement") instanceof Map<?, ?> map ? map : Map.of());
            if (!name.equals(name(number, statement.kind()))) {
                throw new RecordFault(file, "it states a " + statement.kind());
            }
            if (statement instanceof Statement.Withdrawal withdrawal && withdrawal.number() >= number) {
                throw new RecordFault(file, "it withdraws " + withdrawal.number() + ", which did not exist");
            }
            return new Amendment(
                    number,
                    file,
                    statement,
                    Json.text(fields, "by"),
                    Json.text(fields, "utc"),
                    attachments(record, fields, number),
                    signer,
                    Sha256.of(bytes),
                    Sha256.of(signature));
        } catch (SignatureException e) {
            throw new RecordFault(file, e.getMessage() + ": either it was changed, or " + file + SIG);
        } catch (Json.JsonFault | InvalidKeyException e) {
            throw new RecordFault(file, e.getMessage());
        }
    }

    /** What names the record in an amendment. */
    private static Map<String, String> subject(Path record) throws IOException {
        Map<String, String> subject = new LinkedHashMap<>();
        subject.put("record", BagInfo.read(Bag.bytes(record, BagInfo.FILE)).value(BagInfo.RECORD));
        subject.put("tag_manifest_sha256", Sha256.of(record.resolve(Manifest.TAG)));
        subject.put("signature_sha256", Sha256.of(record.resolve(RecordFolder.SIGNATURE)));
        return subject;
    }

    private static List<Amendment.Attachment> attachments(Path record, Map<String, Object> fields, int number)
            throws IOException, Json.JsonFault {
        List<Amendment.Attachment> attachments = new ArrayList<>();
        for (Object each : fields.get("attachments") instanceof List<?> list ? list : List.of()) {
            Map<?, ?> attachment = each instanceof Map<?, ?> map ? map : Map.of();
            String name = Json.text(attachment, "name");
            String file = FOLDER + "/" + attachmentName(number, attachments.size() + 1, name);
            if (!Files.isRegularFile(record.resolve(file), LinkOption.NOFOLLOW_LINKS)) {
                throw new RecordFault(file, "the attachment is missing");
            }
            String hash = Sha256.of(record.resolve(file));
            if (!hash.equals(Json.text(attachment, "sha256"))) {
                throw new RecordFault(file, "the attachment is not the one that was signed");
            }
            attachments.add(new Amendment.Attachment(name, file, hash));
        }
        return attachments;
    }

    private static String previous(List<Amendment> before) {
        return before.isEmpty() ? Sha256.ZEROS : before.get(before.size() - 1).sha256();
    }

    private static String prefix(int number) {
        return String.format(Locale.ROOT, "%04d-", number);
    }

    private static String name(int number, String kind) {
        return prefix(number) + kind + ".json";
    }

    /** A flat name; of one that is too long the end is kept, which tells what kind of file it is. */
    private static String attachmentName(int number, int index, String name) {
        String begin = prefix(number) + index + "-";
        String flat = name.toLowerCase(Locale.ROOT).replaceAll("[^a-z0-9.-]+", "-");
        return begin + flat.substring(Math.max(0, begin.length() + flat.length() - RecordHead.LONGEST_NAME));
    }

    /**
     * The amendments that stand: neither withdrawn, nor withdrawals. A withdrawal that is withdrawn itself does nothing.
     *
     * @param amendments all that hold, in order
     * @return those that stand
     */
    public static List<Amendment> standing(List<Amendment> amendments) {
        Set<Integer> withdrawn = new TreeSet<>();
        List<Amendment> standing = new ArrayList<>();
        for (int i = amendments.size() - 1; i >= 0; i--) {
            Amendment each = amendments.get(i);
            if (withdrawn.contains(each.number())) {
                continue;
            }
            if (each.statement() instanceof Statement.Withdrawal withdrawal) {
                withdrawn.add(withdrawal.number());
            } else {
                standing.add(0, each);
            }
        }
        return standing;
    }

    /**
     * A file to attach.
     *
     * @param name what it is called, such as "photo.jpg"
     * @param bytes its bytes
     */
    public record Attached(String name, byte[] bytes) {}

    /**
     * Adds an amendment to a sealed record, and enters it in the ledger. One that was interrupted is written anew.
     *
     * @param record the record's folder
     * @param statement what to state
     * @param attached files that come with it
     * @param by the signer's name
     * @param utc wall-clock time, ISO 8601 with milliseconds and Z
     * @param key key that signs
     * @return the amendment
     * @throws RecordFault if the record is not sealed, an amendment before is broken, or the statement does not fit
     * @throws IOException if it cannot be written
     */
    public static Amendment add(
            Path record, Statement statement, List<Attached> attached, String by, String utc, SealingKey key)
            throws IOException {
        return add(record, statement, attached, by, utc, key, new FileOps());
    }

    static Amendment add(
            Path record,
            Statement statement,
            List<Attached> attached,
            String by,
            String utc,
            SealingKey key,
            FileOps ops)
            throws IOException {
        RecordFolder folder = RecordFolder.open(record);
        if (!folder.sealed()) {
            throw new RecordFault(RecordFolder.SIGNATURE, "the record is not sealed; only a sealed one is amended");
        }
        List<Finding> findings = new ArrayList<>();
        List<Amendment> before = read(record, findings::add);
        Optional<Finding> broken = findings.stream()
                .filter(f -> !f.code().equals(RecordCheck.AMENDMENT_UNFINISHED.name()))
                .findFirst();
        if (broken.isPresent()) {
            throw new RecordFault(broken.get().place(), broken.get().found());
        }
        int number = before.size() + 1;
        Path amendments = record.resolve(FOLDER);
        if (!Files.isDirectory(amendments)) {
            ops.createFolder(amendments);
            ops.forceFolder(record);
        }
        clear(amendments, number, ops);

        List<Object> listed = new ArrayList<>();
        for (Attached file : attached) {
            String flat = attachmentName(number, listed.size() + 1, file.name());
            ops.writeWhole(amendments.resolve(flat), file.bytes());
            Map<String, Object> attachment = new LinkedHashMap<>();
            attachment.put("name", file.name());
            attachment.put("sha256", Sha256.of(file.bytes()));
            listed.add(attachment);
        }
        Map<String, Object> stated = new LinkedHashMap<>();
        stated.put("kind", statement.kind());
        stated.putAll(statement.fields());
        Map<String, Object> fields = new LinkedHashMap<>();
        fields.put("type", TYPE);
        fields.put("number", number);
        fields.putAll(subject(record));
        fields.put("previous_sha256", previous(before));
        fields.put("by", by);
        fields.put("utc", utc);
        fields.put("statement", stated);
        fields.put("attachments", listed);
        fields.put("key", key.signer().base64());
        fields.put("fingerprint", key.signer().fingerprint());
        byte[] bytes = Json.page(fields).getBytes(StandardCharsets.UTF_8);
        String name = name(number, statement.kind());
        ops.writeWhole(amendments.resolve(name), bytes);
        ops.writeWhole(amendments.resolve(name + SIG), key.sign(bytes));

        Amendment added = check(record, name, before);
        Ledger ledger = new Ledger(record.toAbsolutePath().getParent(), ops);
        before.add(added);
        for (Amendment each : before) {
            ledger.enter(
                    new Ledger.Entry(
                            Ledger.Event.AMENDED,
                            folder.name(),
                            folder.simulated(),
                            utc,
                            each.file(),
                            each.sha256(),
                            each.signatureSha256()),
                    key);
        }
        return added;
    }

    /** Takes away what an interrupted amendment of this number has left. */
    private static void clear(Path amendments, int number, FileOps ops) throws IOException {
        String prefix = prefix(number);
        for (String name : FolderTree.of(amendments, finding -> {}).files().keySet()) {
            if (name.startsWith(prefix)) {
                ops.delete(amendments.resolve(name));
            }
        }
    }
}
