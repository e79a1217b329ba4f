// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <memory>
#include <string>
#include <string_view>

#include "frame_files.h"

namespace ohmglow {

/// Whether a file starts as a zip or tar archive or a compressed file does.
/// @param start  its first 512 bytes, or fewer.
[[nodiscard]] bool IsArchive(std::string_view start);

/// The frame files in an archive (zip, NPZ, tar; gzip, bzip2, xz, zstd, lz4,
/// compress; also one compressed file without an archive), in natural order of their
/// names. Unpacked to a spool, so that each can be read at once and again. Links,
/// absolute paths and paths that climb out (..) are left out.
/// @param pattern  of the members wanted; empty: as in a folder.
/// @throws InputError  damaged, locked by a password, no frames in it, or far more
///         in it than such a file can hold (a hundred times its size and 256 MB).
[[nodiscard]] std::unique_ptr<FrameFiles> FilesOfArchive(const ByteSource& file,
                                                         const std::string& pattern);

/// A look into an archive without unpacking it.
struct ArchiveLook {
  int files = 0;      ///< Of frames, as FilesOfArchive() would give them.
  std::string first;  ///< Name of the first of them.
};

/// Reads names; contents stay packed.
/// @throws InputError  as FilesOfArchive(), as far as names tell.
[[nodiscard]] ArchiveLook LookIntoArchive(const ByteSource& file);

/// One member, by its exact name; nothing behind it is read.
/// @throws InputError
[[nodiscard]] std::unique_ptr<FrameFiles> FileOfArchive(const ByteSource& file,
                                                        const std::string& name);

}  // namespace ohmglow
