/* roster/file_system.c: where a roster must not lie. */
#include "roster/file_system.h"

#include <libgen.h>
#include <limits.h>
#include <stdio.h>
#include <string.h>
#include <sys/stat.h>
#include <sys/sysmacros.h>
#include <sys/vfs.h>

/* Source: linux/magic.h, and statfs(2) for those marked *.  Written out, since an older header may
 * lack some. */
static const struct {
    unsigned long type;
    const char *name;
} network_types[] = {
    { 0x6969, "NFS" },        /* NFS_SUPER_MAGIC */
    { 0x517B, "SMB" },        /* SMB_SUPER_MAGIC */
    { 0xFF534D42, "CIFS" },   /* CIFS_SUPER_MAGIC */
    { 0xFE534D42, "SMB" },    /* SMB2_SUPER_MAGIC */
    { 0x01021997, "9P" },     /* V9FS_MAGIC */
    { 0x5346414F, "AFS" },    /* AFS_SUPER_MAGIC */
    { 0x6B414653, "AFS" },    /* AFS_FS_MAGIC */
    { 0x73757245, "Coda" },   /* CODA_SUPER_MAGIC */
    { 0x564C, "NCP" },        /* NCP_SUPER_MAGIC */
    { 0x00C36400, "Ceph" },   /* CEPH_SUPER_MAGIC */
    { 0x7461636F, "OCFS2" },  /* OCFS2_SUPER_MAGIC */
    { 0x01161970, "GFS2" },   /* * GFS2_MAGIC: several machines on one disk */
    { 0x0BD00BD0, "Lustre" }, /* * LUSTRE_SUPER_MAGIC */
    { 0xAAD7AAEA, "PanFS" },  /* * PANFS_SUPER_MAGIC */
    { 0x786F4256, "a folder that the host machine shares" }, /* * VBOXSF_SUPER_MAGIC */
};

static const unsigned long FUSE_TYPE = 0x65735546; /* FUSE_SUPER_MAGIC */

/* FUSE alone says nothing: a disk may be read through it as well.  Its sort is what follows "fuse."
 * in /proc/self/mountinfo.  From memory, by how these programs mount. */
static const char *const network_sorts[] = {
    "sshfs",     "s3fs",      "rclone",     "davfs",    "curlftpfs",
    "glusterfs", "ceph-fuse", "gvfsd-fuse", "smbnetfs", "afp",
};

/* The field after " - " of the mount with this device: "... 0:52 / /mnt rw - fuse.sshfs x y". */
static bool sort_in_line(const char *line, dev_t device, char out[32])
{
    unsigned major_number = 0;
    unsigned minor_number = 0;
    const char *end = strstr(line, " - ");
    /* NOLINTNEXTLINE(cert-err34-c): a line that isn't of the shape is passed over */
    return end != NULL && sscanf(line, "%*d %*d %u:%u", &major_number, &minor_number) == 2 &&
           makedev(major_number, minor_number) == device &&
           sscanf(end, " - fuse.%31s", out) == 1; /* NOLINT(cert-err34-c) */
}

/* The name in static text, so that nobody has to own it. */
static const char *fuse_sort(dev_t device)
{
    FILE *mounts = fopen("/proc/self/mountinfo", "re");
    const char *found = NULL;
    char line[4096];
    char sort[32];
    while (mounts != NULL && found == NULL && fgets(line, sizeof line, mounts) != NULL) {
        for (size_t i = 0;
             sort_in_line(line, device, sort) && i < sizeof network_sorts / sizeof network_sorts[0];
             i++) {
            found = strcmp(sort, network_sorts[i]) == 0 ? network_sorts[i] : found;
        }
    }
    if (mounts != NULL) {
        (void)fclose(mounts);
    }
    return found;
}

bool file_system_of(const char *path, struct file_system *out)
{
    struct statfs about = { 0 };
    struct stat status = { 0 };
    char folder[PATH_MAX];
    const char *at = path;
    if (stat(path, &status) != 0) {
        if (snprintf(folder, sizeof folder, "%s", path) >= (int)sizeof folder) {
            return false;
        }
        at = dirname(folder);
    }
    if (statfs(at, &about) != 0 || stat(at, &status) != 0) {
        return false;
    }
    /* f_type is signed, and 32 bits wide on some machines: CIFS would come out negative. */
    *out = (struct file_system){ .type = (unsigned long)about.f_type & 0xFFFFFFFFul };
    if (out->type == FUSE_TYPE) {
        out->fuse_sort = fuse_sort(status.st_dev);
    }
    return true;
}

const char *file_system_network_name(const struct file_system *at)
{
    for (size_t i = 0; i < sizeof network_types / sizeof network_types[0]; i++) {
        if (network_types[i].type == at->type) {
            return network_types[i].name;
        }
    }
    for (size_t i = 0; at->type == FUSE_TYPE && at->fuse_sort != NULL &&
                       i < sizeof network_sorts / sizeof network_sorts[0];
         i++) {
        if (strcmp(at->fuse_sort, network_sorts[i]) == 0) {
            return network_sorts[i];
        }
    }
    return NULL;
}

bool file_system_may_hold(const char *place, file_system_ask *ask, struct error *err)
{
    struct file_system at = { 0 };
    const char *name = ask(place, &at) ? file_system_network_name(&at) : NULL;
    return name == NULL ||
           error_set(
               err, ERROR_USAGE,
               "%s: lies on another machine (%s), where locks don't hold and a roster would be "
               "ruined; keep it on a disk of this machine, and send backups there",
               place, name);
}
