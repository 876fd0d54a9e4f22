package org.plateaubench.record;

import java.util.List;

/**
 * A signed addition to a sealed record, whose signature holds.
 *
 * @param number its number, from 1
 * @param file its file, such as "amendments/0001-note.json"
 * @param statement what it states
 * @param by the name that its signer gave; whose key it is, is for a trust file to say
 * @param utc when it was signed, as its signer says; ISO 8601
 * @param attachments files that came with it
 * @param signer the key that signed it
 * @param sha256 hash of its file
 * @param signatureSha256 hash of its signature's file
 */
public record Amendment(
        int number,
        String file,
        Statement statement,
        String by,
        String utc,
        List<Attachment> attachments,
        SignerKey signer,
        String sha256,
        String signatureSha256) {

    /** Copies the list. */
    public Amendment {
        attachments = List.copyOf(attachments);
    }

    /**
     * A file that came with an amendment.
     *
     * @param name what it was called, such as "photo.jpg"
     * @param file its file, such as "amendments/0001-1-photo.jpg"
     * @param sha256 its hash
     */
    public record Attachment(String name, String file, String sha256) {}
}
