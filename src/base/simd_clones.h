// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

/// Before a function of plain loops: built for wide registers too, the machine
/// at hand picks. Without fused multiplication, so that both give the same bytes.
/// Not under the thread sanitizer: what picks runs before the sanitizer has begun.
#if defined(__x86_64__) && defined(__ELF__) && defined(__GNUC__) && !defined(__clang__) && \
    !defined(__SANITIZE_THREAD__)
#define OHMGLOW_SIMD_CLONES __attribute__((target_clones("avx2", "default")))
#else
#define OHMGLOW_SIMD_CLONES
#endif
